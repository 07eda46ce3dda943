// Package doorstep is the pages for those who are on no trip: whoever opens a trip's
// open invite, and hosts who start a trip.
//
//	GET  /j/{code}             who are you, card, blends; looking joins nobody
//	POST /j/{code}             lets somebody wait, and sends them to
//	GET  /j/{code}/w/{id}/{t}  where they wait; it leads to their own page once they are let in
//	GET  /j/{code}/qr          the open invite as a QR code, for other phones and to print
//	GET  /c/{token}/muster     the muster sheet, for leader and crew
//	GET  /h/{code}             a host's form for a new trip; POST starts it
//
// They are plain forms without a script. Who waits sees of the trip its name, its day
// and what they typed.
package doorstep

import (
	"context"
	"embed"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"gasmuster/internal/conversation/newtrip"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// Door is the one door in, as far as these pages use it.
type Door interface {
	Opened(ctx context.Context, code string) (*roster.Trip, error)
	PolicyOf(ctx context.Context, shop roster.ShopID) (*gas.Policy, error)
	Knock(ctx context.Context, trip roster.TripID, n roster.Newcomer, source string) (id string, err error)
	Invited(ctx context.Context, token string) (*roster.Trip, *roster.Person, error)
	Waits(ctx context.Context, code, newcomer, ticket string) (delivery.Waiting, error)
	Hosted(ctx context.Context, code string) (roster.Host, error)
	Sites(ctx context.Context, shop roster.ShopID) ([]roster.Dive, error)
	StartTrip(ctx context.Context, h roster.Host, f *newtrip.Form, language string) (*roster.Trip, error)
}

// Deps is what the pages need.
type Deps struct {
	Door         Door
	Links        *delivery.Linker
	Renderer     *message.Renderer
	ClientHeader string           // in which a proxy of ours names the client
	Now          func() time.Time // default time.Now
	Log          *slog.Logger     // default slog.Default()
}

// Pages serves /j/ and /h/.
type Pages struct {
	Deps
	pages   *template.Template
	handler http.Handler
}

//go:embed assets/*.html
var templates embed.FS

//go:embed assets/step.css
var css string

// maxForm is what a form may hold, in bytes.
const maxForm = 64 << 10

// New makes the pages.
func New(d Deps) *Pages {
	if d.Now == nil {
		d.Now = time.Now
	}
	if d.Log == nil {
		d.Log = slog.Default()
	}
	p := &Pages{Deps: d, pages: template.Must(template.New("").ParseFS(templates, "assets/*.html"))}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /j/{code}", p.showJoin)
	mux.HandleFunc("POST /j/{code}", p.join)
	mux.HandleFunc("GET /j/{code}/w/{id}/{ticket}", p.wait)
	mux.HandleFunc("GET /j/{code}/qr", p.showCode)
	mux.HandleFunc("GET /c/{token}/muster", p.muster)
	mux.HandleFunc("GET /h/{code}", p.showHost)
	mux.HandleFunc("POST /h/{code}", p.start)
	p.handler = web.Guard{Style: css, MostBody: maxForm}.Around(mux)
	return p
}

func (p *Pages) ServeHTTP(w http.ResponseWriter, r *http.Request) { p.handler.ServeHTTP(w, r) }

// view is what every page shows.
type view struct {
	p        *Pages
	to       message.Reader
	CSS      template.CSS
	Lang     string
	Dir      string
	Title    string
	Problems []string
	Refresh  int // seconds, 0 for never
	Next     string
	Get      func(string) string // what was typed
	Body     any
}

// T is a text of the page.
func (v view) T(key string) string { return v.say(key, nil) }

func (v view) say(key string, a message.Args) string {
	return v.p.Renderer.Shown(message.Say(key, a), v.to)
}

func (v view) line(l message.Line) string { return v.p.Renderer.Shown(l, v.to) }

func (p *Pages) view(r *http.Request) view {
	to := message.Reader{Language: message.MatchHeader(r.Header.Get("Accept-Language"))}
	v := view{p: p, to: to, CSS: template.CSS(css), Lang: message.Match(to.Language), // #nosec G203 -- built into the program
		Dir: message.Direction(to.Language), Get: r.PostFormValue}
	v.Title = v.T("page.title")
	return v
}

func (p *Pages) render(w http.ResponseWriter, status int, name string, v view) {
	if err := web.Show(w, p.pages, status, name, v); err != nil {
		p.Log.Error("doorstep: page not rendered", "page", name, "err", err)
	}
}

// closed is the page of what opens nothing, or of a store that can't be asked.
func (p *Pages) closed(w http.ResponseWriter, r *http.Request, err error) {
	v := p.view(r)
	status, key := refusalOf(err)
	if key == "" {
		p.Log.Error("doorstep: not answered", "err", err)
		w.Header().Set("Retry-After", "5")
		status, key = http.StatusServiceUnavailable, "door.unread"
		if r.Method == http.MethodPost {
			key = "door.not-recorded"
		}
	}
	v.Problems = []string{v.T(key)}
	p.render(w, status, "closed", v)
}
