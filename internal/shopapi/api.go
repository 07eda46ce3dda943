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

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Door is the one door in, as far as a shop uses it.
type Door interface {
	// Create stores a new trip; roster.ErrConflict when its id is taken.
	Create(ctx context.Context, t *roster.Trip) error
	// Apply lets change look at the stored trip and say what is to change, or
	// refuse; source makes the change happen once. See delivery.Door.
	Apply(ctx context.Context, trip roster.TripID, source string,
		change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip, error)
}

// Loader reads trips.
type Loader interface {
	Load(ctx context.Context, id roster.TripID, source string) (roster.Loaded, error)
	List(ctx context.Context, shop roster.ShopID, from, to time.Time) ([]roster.TripID, error)
}

// Deps is what the API needs. All but TelegramName are required.
type Deps struct {
	Door      Door
	Trips     Loader
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
	guesses *guesses
}

func (a *api) telegramName() string {
	if a.TelegramName == nil {
		return ""
	}
	return a.TelegramName()
}

// maxBody holds a trip of 64 people with 6 cylinders each, with long names.
const maxBody = 512 << 10

// maxChanges of a trip, whoever made them, end a shop's own: a script that goes
// round in a circle must not make a trip too large for its divers.
const maxChanges = 50_000

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
	"/v1/trips":                                     {"GET": (*api).listTrips, "POST": (*api).createTrip},
	"/v1/trips/{trip}":                              {"GET": (*api).getTrip, "PATCH": (*api).patchTrip},
	"/v1/trips/{trip}/invites":                      {"GET": (*api).invites},
	"/v1/trips/{trip}/messages":                     {"POST": (*api).write},
	"/v1/trips/{trip}/divers/{diver}/invite/revoke": {"POST": (*api).revokeInvite},
	"/v1/trips/{trip}/divers":                       {"POST": (*api).addDiver},
	"/v1/trips/{trip}/divers/{diver}":               {"PATCH": (*api).patchDiver, "DELETE": (*api).removeDiver},
	"/v1/trips/{trip}/announce":                     {"POST": (*api).announce},
	"/v1/trips/{trip}/board":                        {"GET": (*api).board},
	"/v1/trips/{trip}/fills":                        {"GET": (*api).fills},
	"/v1/trips/{trip}/fills/lock":                   {"POST": (*api).lockFills},
	"/v1/trips/{trip}/fills/{cylinder}":             {"POST": (*api).fill},
	"/v1/trips/{trip}/readings":                     {"POST": (*api).reading},
	"/v1/trips/{trip}/divers/{diver}/invite.png":    {"GET": (*api).invitePNG},
	"/v1/trips/{trip}/divers/{diver}/invite.svg":    {"GET": (*api).inviteSVG},
	"/v1/trips/{trip}/invites.pdf":                  {"GET": (*api).inviteCards},
	"/v1/trips/{trip}/labels.pdf":                   {"GET": (*api).labels},
	"/v1/trips/{trip}/record":                       {"GET": (*api).record},
	"/v1/blends":                                    {"GET": (*api).blendQuality},
	"/v1/webhook":                                   {"GET": (*api).getWebhook, "PUT": (*api).putWebhook, "DELETE": (*api).dropWebhook},
	"/v1/webhook/deliveries":                        {"GET": (*api).deliveries},
	"/v1/webhook/replay":                            {"POST": (*api).replayEvents},
}

//go:embed openapi.json
var openAPI []byte

// New is the handler of everything under /v1/.
func New(d Deps) http.Handler {
	a := &api{Deps: d, log: d.Log, guesses: newGuesses(d.ClientHeader)}
	mux := http.NewServeMux()
	for path, methods := range routes {
		mux.Handle(path, a.route(methods))
	}
	mux.HandleFunc("/v1/openapi.json", serveOpenAPI)
	mux.HandleFunc("/", func(w http.ResponseWriter, _ *http.Request) { notFound(w) })
	return mux
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
	body, err := io.ReadAll(http.MaxBytesReader(c.w, c.Body, maxBody))
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		refuse(c.w, http.StatusRequestEntityTooLarge, "A body of at most 512 KiB is accepted.")
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
func (c *call) readDocument(f *faults, optional bool, mediaTypes ...string) (any, bool) {
	if optional && len(bytes.TrimSpace(c.body)) == 0 {
		return map[string]any{}, true
	}
	if !c.comesAs(mediaTypes...) {
		return nil, false
	}
	v, err := parse(bytes.NewReader(c.body), f)
	if err != nil {
		refuse(c.w, http.StatusBadRequest, notJSON(err))
		return nil, false
	}
	return v, true
}

func notJSON(err error) string { return "The body is not JSON: " + err.Error() + "." }

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

// owned is nil when the trip is the calling shop's; a trip of another shop is
// as absent as one that never was.
func (c *call) owned(t *roster.Trip) error {
	if t.Shop != c.shop.ID {
		return roster.ErrNotFound
	}
	return nil
}

// trip loads the trip of the path. It answers itself when it returns false.
func (a *api) trip(c *call) (*roster.Trip, bool) {
	loaded, err := a.Trips.Load(c.Context(), roster.TripID(c.PathValue("trip")), "")
	if err == nil {
		err = c.owned(loaded.Trip)
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return nil, false
	}
	return loaded.Trip, true
}

// apply lets change look at the trip of the path and sends what it wants
// through the door; it gives back the trip as it is then, and answers itself
// when it returns false. change runs on the stored trip, so that what it
// checked still holds when it is written.
func (a *api) apply(c *call, change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip, bool) {
	t, err := a.Door.Apply(c.Context(), roster.TripID(c.PathValue("trip")), c.source(),
		func(t *roster.Trip) (conversation.Change, error) {
			if err := c.owned(t); err != nil {
				return conversation.Change{}, err
			}
			if t.Over(c.now) {
				return conversation.Change{}, &Refusal{Status: http.StatusConflict,
					Detail: "This trip is over: its record takes no more changes."}
			}
			if t.Version >= maxChanges {
				return conversation.Change{}, &Refusal{Status: http.StatusConflict,
					Detail: "This trip was changed 50000 times: it takes no more from here. Its divers and leaders go on. Send the rest of the day as a new trip, and see what keeps writing."}
			}
			return change(t)
		})
	if err == nil {
		err = c.owned(t) // a repeated source comes back without having asked change
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return nil, false
	}
	return t, true
}

func newReader(b []byte) io.Reader { return bytes.NewReader(b) }
