package desk

import (
	"context"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// Shops are the shops that may sign in.
type Shops interface {
	ShopByKey(ctx context.Context, keyHash string) (roster.Shop, error)
	Shop(ctx context.Context, id roster.ShopID) (roster.Shop, error)
	ReplaceShop(ctx context.Context, was, is roster.Shop) error
}

// Eraser erases for good; see delivery.Door.
type Eraser interface {
	ErasePerson(ctx context.Context, trip roster.TripID, person roster.PersonID, source string) error
	EraseTrip(ctx context.Context, shop roster.ShopID, trip roster.TripID) error
}

// SignIns keeps sessions and one-time links; see rdb.SignIns.
type SignIns interface {
	Begin(ctx context.Context, shop roster.ShopID, hash, mark string, life time.Duration) error
	Session(ctx context.Context, shop roster.ShopID, hash string) (mark string, err error)
	End(ctx context.Context, shop roster.ShopID, hash string) error
	EndAll(ctx context.Context, shop roster.ShopID) error
	Offer(ctx context.Context, shop roster.ShopID, hash string, life time.Duration) error
	Redeem(ctx context.Context, shop roster.ShopID, hash string) error
}

// Hooks tells a shop's systems of events; see webhook.Desk.
type Hooks interface {
	Check(url string) error
	Register(ctx context.Context, shop roster.ShopID, url string) (roster.Endpoint, string, error)
	Endpoint(ctx context.Context, shop roster.ShopID) (roster.Endpoint, error)
	Drop(ctx context.Context, shop roster.ShopID) error
}

// Deps is what the desk needs.
type Deps struct {
	Door     booking.Door
	Eraser   Eraser
	Trips    booking.Loader
	Shops    Shops
	SignIns  SignIns
	Hooks    Hooks
	Hosts    booking.Hosts
	Limiter  roster.Limiter
	Renderer *message.Renderer
	Links    *delivery.Linker
	Now      func() time.Time
	Log      *slog.Logger
	// PublicURL is where browsers reach the service, without a slash at the end:
	// on https the cookie is for https alone.
	PublicURL string
	// KeepDays is how long a trip is kept after its last dive.
	KeepDays int
	// ClientHeader is the header in which a proxy of ours names the client.
	ClientHeader string
	// Framed lets pages be shown in frames of the same origin: the demo.
	Framed bool
}

// Desk is the pages under /desk.
type Desk struct {
	Deps
	office  booking.Office
	guesses *keys.Guesses
	pages   *template.Template
	handler http.Handler
}

// handler answers one request of somebody signed in.
type handler func(*Desk, *visit)

// routes is the table of pages for who is signed in.
var routes = map[string]handler{
	"GET /desk":                                   (*Desk).days,
	"POST /desk/out":                              (*Desk).signOut,
	"GET /desk/trips/new":                         (*Desk).newTrip,
	"POST /desk/trips/new":                        (*Desk).bookTrip,
	"POST /desk/trips/file":                       (*Desk).takeFile,
	"GET /desk/template/{file}":                   (*Desk).templateFile,
	"GET /desk/calendar.ics":                      (*Desk).calendar,
	"GET /desk/trips/{trip}":                      (*Desk).trip,
	"POST /desk/trips/{trip}":                     (*Desk).actOnTrip,
	"GET /desk/trips/{trip}/plan":                 (*Desk).plan,
	"POST /desk/trips/{trip}/plan":                (*Desk).changePlan,
	"GET /desk/trips/{trip}/copy":                 (*Desk).copyForm,
	"POST /desk/trips/{trip}/copy":                (*Desk).copyTrip,
	"GET /desk/trips/{trip}/people/new":           (*Desk).newPerson,
	"POST /desk/trips/{trip}/people/new":          (*Desk).addPerson,
	"GET /desk/trips/{trip}/people/{person}":      (*Desk).person,
	"POST /desk/trips/{trip}/people/{person}":     (*Desk).changePerson,
	"GET /desk/trips/{trip}/people/{person}/code": (*Desk).inviteCode,
	"GET /desk/trips/{trip}/open-code":            (*Desk).openCode,
	"GET /desk/trips/{trip}/paper/{paper}":        (*Desk).paper,
	"GET /desk/fills":                             (*Desk).fills,
	"POST /desk/fills":                            (*Desk).tick,
	"GET /desk/fills/print":                       (*Desk).printFills,
	"GET /desk/blends":                            (*Desk).blends,
	"GET /desk/blends/chart":                      (*Desk).blendChart,
	"GET /desk/settings":                          (*Desk).settings,
	"POST /desk/settings":                         (*Desk).set,
}

// New is the desk.
func New(d Deps) *Desk {
	desk := &Desk{Deps: d, office: booking.Office{Door: d.Door, Trips: d.Trips, Now: d.Now},
		guesses: keys.NewGuesses(d.ClientHeader), pages: templates()}
	mux := http.NewServeMux()
	for pattern, h := range routes {
		mux.Handle(pattern, desk.signedIn(h))
	}
	mux.HandleFunc("GET /desk/in", desk.signInPage)
	mux.HandleFunc("POST /desk/in", desk.signIn)
	mux.HandleFunc("GET /desk/in/{link}", desk.linkPage)
	mux.HandleFunc("POST /desk/in/{link}", desk.useLink)
	mux.HandleFunc("GET /desk/desk.js", serveScript)
	mux.HandleFunc("/desk/", desk.nothing)
	guard := web.Guard{Style: deskCSS, Script: true, Framed: d.Framed, Referrer: true, MostBody: mostPosted}
	desk.handler = guard.Around(mux)
	return desk
}

// ServeHTTP answers everything under /desk.
func (d *Desk) ServeHTTP(w http.ResponseWriter, r *http.Request) { d.handler.ServeHTTP(w, r) }
