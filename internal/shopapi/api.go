package shopapi

import (
	"bytes"
	"context"
	_ "embed"
	"errors"
	"io"
	"log/slog"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Deps is what the API needs. All but TelegramName are required.
type Deps struct {
	Door      booking.Door
	Trips     booking.Loader
	Shops     roster.Shops
	Limiter   roster.Limiter
	Letters   Letters
	Renderer  *message.Renderer
	Invites   delivery.Invites
	Hooks     Hooks
	Now       func() time.Time
	Log       *slog.Logger
	PublicURL string // without a slash at the end
	// TelegramName is the bot's user name, "" while the channel is off.
	TelegramName func() string
	// Evening and Quiet are what trips get: the cron expression of the
	// evening-before message and the quiet hours, both in the trip's zone.
	Evening, Quiet string
	// ClientHeader is the header in which a proxy of ours names the client, such
	// as X-Forwarded-For; "" when clients connect directly.
	ClientHeader string
}

// Hooks tells a shop's systems of events; see webhook.Desk.
type Hooks interface {
	Check(url string) error
	Register(ctx context.Context, shop roster.ShopID, url string) (roster.Endpoint, string, error)
	Endpoint(ctx context.Context, shop roster.ShopID) (roster.Endpoint, error)
	Drop(ctx context.Context, shop roster.ShopID) error
	Waiting(ctx context.Context, shop roster.ShopID) (int, error)
	Deliveries(ctx context.Context, shop roster.ShopID, before time.Time, max int) ([]roster.Delivery, error)
	Parse(event string) (roster.TripID, int, bool)
	Replay(ctx context.Context, shop roster.ShopID, trip roster.TripID, number int) (int, error)
}

type api struct {
	Deps
	log     *slog.Logger
	guesses *keys.Guesses
}

func (a *api) telegramName() string {
	if a.TelegramName == nil {
		return ""
	}
	return a.TelegramName()
}

// maxBody holds a trip of 64 people with 6 cylinders each, with long names.
const maxBody = 512 << 10

// call is one authorised request with its body read.
type call struct {
	*http.Request
	w    http.ResponseWriter
	shop roster.Shop
	body []byte
	now  time.Time
	key  string // Idempotency-Key, "" for none
}

type handler func(*api, *call)

// routes is the table of calls: path, then method.
var routes = map[string]map[string]handler{
	"/v1/trips":               {"GET": (*api).listTrips, "POST": (*api).createTrip},
	"/v1/trips/template.csv":  {"GET": (*api).templateCSV},
	"/v1/trips/template.xlsx": {"GET": (*api).templateXLSX},
	"/v1/by-ref/{ref}":        {"PUT": (*api).putByRef},
	"/v1/trips/{trip}": {"GET": (*api).getTrip, "PATCH": (*api).patchTrip,
		"DELETE": (*api).callOff},
	"/v1/trips/{trip}/open-invite":                  {"POST": (*api).openInvite, "DELETE": (*api).shutInvite},
	"/v1/trips/{trip}/copy":                         {"POST": (*api).copyTrip},
	"/v1/trips/{trip}/calendar.ics":                 {"GET": (*api).calendar},
	"/v1/trips/{trip}/readings/{reading}":           {"DELETE": (*api).undoReading},
	"/v1/fills":                                     {"GET": (*api).fillsOfDays},
	"/v1/calendar.ics":                              {"GET": (*api).calendarOfDays},
	"/v1/trips/{trip}/invites":                      {"GET": (*api).invites},
	"/v1/trips/{trip}/messages":                     {"POST": (*api).write},
	"/v1/trips/{trip}/divers/{diver}/invite/revoke": {"POST": (*api).revokeInvite},
	"/v1/trips/{trip}/divers":                       {"POST": (*api).addDiver},
	"/v1/trips/{trip}/divers/{diver}":               {"PATCH": (*api).patchDiver, "DELETE": (*api).removeDiver},
	"/v1/trips/{trip}/announce":                     {"POST": (*api).announce},
	"/v1/trips/{trip}/ready":                        {"POST": (*api).ready},
	"/v1/trips/{trip}/board":                        {"GET": (*api).board},
	"/v1/trips/{trip}/signatures":                   {"GET": (*api).signatures},
	"/v1/trips/{trip}/fills":                        {"GET": (*api).fills},
	"/v1/trips/{trip}/fills/lock":                   {"POST": (*api).lockFills},
	"/v1/trips/{trip}/fills/{cylinder}":             {"POST": (*api).fill},
	"/v1/trips/{trip}/readings":                     {"POST": (*api).reading},
	"/v1/trips/{trip}/divers/{diver}/invite.png":    {"GET": (*api).invitePNG},
	"/v1/trips/{trip}/divers/{diver}/invite.svg":    {"GET": (*api).inviteSVG},
	"/v1/trips/{trip}/invites.pdf":                  {"GET": (*api).inviteCards},
	"/v1/trips/{trip}/labels.pdf":                   {"GET": (*api).labels},
	"/v1/trips/{trip}/muster":                       {"GET": (*api).muster},
	"/v1/trips/{trip}/record":                       {"GET": (*api).record},
	"/v1/blends":                                    {"GET": (*api).blendQuality},
	"/v1/webhook": {"GET": (*api).getWebhook, "PUT": (*api).putWebhook,
		"DELETE": (*api).dropWebhook},
	"/v1/webhook/deliveries": {"GET": (*api).deliveries},
	"/v1/webhook/replay":     {"POST": (*api).replayEvents},
}

//go:embed openapi.json
var openAPI []byte

// New is the handler of everything under /v1/.
func New(d Deps) http.Handler {
	a := &api{Deps: d, log: d.Log, guesses: keys.NewGuesses(d.ClientHeader)}
	mux := http.NewServeMux()
	for path, methods := range routes {
		mux.Handle(path, a.route(methods))
	}
	mux.HandleFunc("/v1/openapi.json", serveOpenAPI)
	mux.HandleFunc("/", func(w http.ResponseWriter, _ *http.Request) { notFound(w) })
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, refPrefix) {
			r = below(r, refPrefix, "/v1/by-ref/")
		}
		mux.ServeHTTP(w, r)
	})
}

// refPrefix begins the second address of a trip by reference. The document does
// not have it: a reader of the document could take it for the path of a trip
// called by-ref.
const refPrefix = "/v1/trips/by-ref/"

// below is a request with another beginning of its path.
func below(r *http.Request, prefix, instead string) *http.Request {
	out, at := *r, *r.URL
	at.Path = instead + strings.TrimPrefix(at.Path, prefix)
	if at.RawPath != "" {
		at.RawPath = instead + strings.TrimPrefix(at.RawPath, prefix)
	}
	out.URL = &at
	return &out
}

func serveOpenAPI(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		notAllowed(w, []string{"GET"})
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "max-age=3600")
	_, _ = w.Write(openAPI)
}

// route authorises, limits and reads a request, then lets its handler run.
func (a *api) route(methods map[string]handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		c := &call{Request: r, w: w, now: a.Now()}
		if !a.authorise(c) || !a.withinRate(c) {
			return
		}
		method := r.Method
		if method == http.MethodHead {
			method = http.MethodGet
		}
		run, ok := methods[method]
		if !ok {
			var allowed []string
			for m := range methods {
				allowed = append(allowed, m)
			}
			notAllowed(w, allowed)
			return
		}
		if a.readBody(c) {
			a.once(c, run)
		}
	})
}

func notAllowed(w http.ResponseWriter, allowed []string) {
	slices.Sort(allowed)
	w.Header().Set("Allow", strings.Join(allowed, ", "))
	refuse(w, http.StatusMethodNotAllowed, "Accepted here: "+strings.Join(allowed, ", ")+".")
}

// readBody reads the whole body, so that its hash can stand for it.
func (a *api) readBody(c *call) bool {
	most, words := int64(maxBody), "512 KiB"
	if c.Method == http.MethodPost && c.URL.Path == "/v1/trips" && !c.isJSON() {
		most, words = booking.MaxFile, "10 MB"
	}
	body, err := io.ReadAll(http.MaxBytesReader(c.w, c.Body, most))
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		refuse(c.w, http.StatusRequestEntityTooLarge, "A body of at most "+words+" is accepted.")
	case err != nil:
		refuse(c.w, http.StatusBadRequest, "The body could not be read to its end.")
	default:
		c.body = body
		return true
	}
	return false
}

// readDocument parses the JSON body; an empty one is an empty object when
// optional. It answers itself when it returns false.
func (c *call) readDocument(f *booking.Faults, optional bool, mediaTypes ...string) (any, bool) {
	if optional && len(bytes.TrimSpace(c.body)) == 0 {
		return map[string]any{}, true
	}
	if !c.comesAs(mediaTypes...) {
		return nil, false
	}
	if err := c.utf8(); err != nil {
		refuse(c.w, http.StatusBadRequest, err.Error())
		return nil, false
	}
	v, err := booking.Parse(bytes.NewReader(c.body), f)
	if err != nil {
		refuse(c.w, http.StatusBadRequest, booking.NotJSON(err))
		return nil, false
	}
	return v, true
}

// utf8 refuses JSON in any other encoding: names would be stored broken (RFC 8259,
// 8.1).
func (c *call) utf8() error {
	if !c.isJSON() || utf8.Valid(c.body) {
		return nil
	}
	return &booking.Refusal{Status: http.StatusBadRequest,
		Detail: "The body is not UTF-8, which JSON has to be: nothing was stored."}
}

func (c *call) isJSON() bool {
	given, _, _ := mime.ParseMediaType(c.Header.Get("Content-Type"))
	return given == typeJSON || given == typeMerge
}

// comesAs tells whether the body is of one of the media types. It answers
// itself when it returns false.
func (c *call) comesAs(mediaTypes ...string) bool {
	given, _, _ := mime.ParseMediaType(c.Header.Get("Content-Type"))
	if slices.Contains(mediaTypes, given) {
		return true
	}
	c.w.Header().Set("Accept", strings.Join(mediaTypes, ", "))
	refuse(c.w, http.StatusUnsupportedMediaType, "Accepted Content-Type: "+strings.Join(mediaTypes, ", ")+".")
	return false
}

// office is the shops' way to their trips.
func (a *api) office() booking.Office {
	return booking.Office{Door: a.Door, Trips: a.Trips, Now: a.Now}
}

// trip loads the trip of the path. It answers itself when it returns false.
func (a *api) trip(c *call) (*roster.Trip, bool) {
	t, err := a.office().Load(c.Context(), c.shop.ID, roster.TripID(c.PathValue("trip")))
	if err != nil {
		a.failed(c.w, c.Request, err)
		return nil, false
	}
	return t, true
}

// apply changes the trip of the path; see booking.Office. It answers itself when
// it returns false.
func (a *api) apply(c *call, change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip, bool) {
	t, err := a.office().Apply(c.Context(), c.shop.ID, roster.TripID(c.PathValue("trip")), c.source(), change)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return nil, false
	}
	return t, true
}
