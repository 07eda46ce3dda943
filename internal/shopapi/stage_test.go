package shopapi_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/roster/rostertest"
	"gasmuster/internal/shopapi"
	"gasmuster/internal/webhook"
)

// stage is the API on an embedded store with two shops, and a clock that the
// test moves.
type stage struct {
	t       *testing.T
	now     time.Time
	mini    *miniredis.Miniredis
	store   *rdb.Store
	door    *delivery.Door
	handler http.Handler
	router  routers.Router
}

// The keys of the two shops.
const (
	keyOne = "key-of-the-first-shop-0123456789"
	keyTwo = "key-of-the-second-shop-0123456789"
)

func newStage(t *testing.T) *stage {
	t.Helper()
	s := &stage{t: t, now: time.Date(2027, 5, 13, 12, 0, 0, 0, time.UTC), mini: miniredis.RunT(t)}
	s.mini.SetTime(s.now)
	client, err := rdb.Open("redis://" + s.mini.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { client.Close() })
	clock := func() time.Time { return s.now }
	s.store = rdb.New(client)
	s.store.Now = clock
	invites := delivery.NewInvites("a secret for tests")
	quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: rostertest.Watch(t, s.store), Addresses: s.store.Addresses(),
		Pages: s.store.Chats(), Invites: invites,
		Evening: "0 18 * * *", Quiet: "22:00-06:00", Now: clock, Log: quiet})
	s.handler = shopapi.New(shopapi.Deps{Door: s.door, Trips: s.store, Shops: s.store.Shops(), Limiter: s.store.Limiter(),
		Letters:  s.store.Outbox(),
		Renderer: message.New(), Invites: invites, Hooks: s.hooks(), Now: clock, Log: quiet, PublicURL: "https://gas.example",
		TelegramName: func() string { return "a_bot" }, Evening: "0 18 * * *", Quiet: "22:00-06:00"})
	s.putShops()
	s.router = documented(t)
	return s
}

// putShops stores the two shops.
func (s *stage) putShops() {
	s.t.Helper()
	for id, key := range map[roster.ShopID]string{"one": keyOne, "two": keyTwo} {
		shop := roster.Shop{ID: id, Name: string(id), KeyHash: keys.Hash(key), Created: s.now}
		if err := s.store.Shops().PutShop(context.Background(), shop); err != nil {
			s.t.Fatal(err)
		}
	}
}

// hooks is what tells events, without anything that sends them.
func (s *stage) hooks() webhook.Desk {
	sealer, err := webhook.NewSealer("a secret for tests")
	if err != nil {
		s.t.Fatal(err)
	}
	return webhook.Desk{News: s.store.News(), Trips: s.store, Sealer: sealer, Now: func() time.Time { return s.now }}
}

// documented finds operations in the OpenAPI document, which must be valid.
func documented(t *testing.T) routers.Router {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromFile("openapi.json")
	if err != nil {
		t.Fatalf("openapi.json: %v", err)
	}
	if err := doc.Validate(context.Background()); err != nil {
		t.Fatalf("openapi.json is no valid OpenAPI document: %v", err)
	}
	doc.Servers = nil // relative: the tests ask at an address of their own
	router, err := legacy.NewRouter(doc)
	if err != nil {
		t.Fatal(err)
	}
	return router
}

// reply is an answer of the API.
type reply struct {
	t      *testing.T
	Status int
	Header http.Header
	Body   []byte
}

// ask sends one request with the first shop's key and holds it and the answer
// against the OpenAPI document.
func (s *stage) ask(method, path, body string, header ...string) reply {
	s.t.Helper()
	r := httptest.NewRequest(method, "https://gas.example"+path, strings.NewReader(body))
	r.Header.Set("Authorization", "Bearer "+keyOne)
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	got := reply{s.t, w.Code, w.Header(), w.Body.Bytes()}
	s.holdAgainstDocument(r, body, got)
	return got
}

func (s *stage) holdAgainstDocument(r *http.Request, body string, got reply) {
	s.t.Helper()
	route, params, err := s.router.FindRoute(r)
	if err != nil {
		if got.Status != http.StatusNotFound && got.Status != http.StatusMethodNotAllowed {
			s.t.Errorf("%s %s answers %d, but the document does not know it: %v", r.Method, r.URL.Path, got.Status, err)
		}
		return
	}
	r.Body = io.NopCloser(strings.NewReader(body))
	in := &openapi3filter.RequestValidationInput{Request: r, PathParams: params, Route: route,
		Options: &openapi3filter.Options{AuthenticationFunc: openapi3filter.NoopAuthenticationFunc,
			IncludeResponseStatus: true}}
	if got.Status < 300 {
		if err := openapi3filter.ValidateRequest(context.Background(), in); err != nil {
			s.t.Errorf("%s %s was accepted, but its document is not as documented: %v", r.Method, r.URL.Path, err)
		}
	}
	out := &openapi3filter.ResponseValidationInput{RequestValidationInput: in, Status: got.Status, Header: got.Header,
		Body: io.NopCloser(bytes.NewReader(got.Body)), Options: in.Options}
	if err := openapi3filter.ValidateResponse(context.Background(), out); err != nil {
		s.t.Errorf("%s %s: the answer %d is not as documented: %v\n%s", r.Method, r.URL.Path, got.Status, err, got.Body)
	}
}

// want fails the test unless the status is that one.
func (r reply) want(status int) reply {
	r.t.Helper()
	if r.Status != status {
		r.t.Fatalf("status: got %d, want %d: %s", r.Status, status, r.Body)
	}
	return r
}

// into reads the answer's JSON.
func (r reply) into(v any) {
	r.t.Helper()
	if err := json.Unmarshal(r.Body, v); err != nil {
		r.t.Fatalf("%v: %s", err, r.Body)
	}
}

// pointers are the places that a problem names, with what it says of them.
func (r reply) pointers() map[string]string {
	r.t.Helper()
	var p struct {
		Errors []struct{ Pointer, Detail string }
	}
	r.into(&p)
	at := map[string]string{}
	for _, e := range p.Errors {
		at[e.Pointer] = e.Detail
	}
	return at
}

// trip is what tests read of a trip.
type trip struct {
	ID              roster.TripID
	Name            string
	Departs         time.Time `json:"departs_at"`
	Announced       time.Time `json:"announced_at"`
	Dives           []map[string]any
	Policy          map[string]any
	First           float64 `json:"first_dive_after"`
	Wanted          struct{ Policy map[string]any }
	Leaders, Divers []person
	Crew            []person
	OpenInvite      *struct{ URL string } `json:"open_invite"`
}

type person struct {
	ID        roster.PersonID
	Name      string
	Card      string
	Team      string
	Units     string
	Limit     float64 `json:"depth_limit"`
	Cylinders []cylinder
	Left      time.Time `json:"left_at"`
	Invite    *struct {
		Code     string
		Chat     string `json:"chat_url"`
		Telegram string `json:"telegram_url"`
	}
}

type cylinder struct {
	ID       roster.CylinderID
	Label    string
	Asked    float64
	Dive     int
	Readings int
	Filled   time.Time `json:"filled_at"`
	Check    *struct {
		Status               string
		MOD                  int `json:"mod"`
		Recommended, Richest float64
		Findings             []struct{ Rule, Severity, Text string }
	}
}

// sample is a whole trip as a shop sends it.
func sample(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("testdata/trip.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// book sends the sample in.
func (s *stage) book() trip {
	s.t.Helper()
	var booked trip
	s.ask("POST", "/v1/trips", sample(s.t)).want(http.StatusCreated).into(&booked)
	return booked
}

func (b trip) path(rest string) string { return "/v1/trips/" + string(b.ID) + rest }

// diver finds somebody by name.
func (b trip) diver(t *testing.T, name string) person {
	t.Helper()
	for _, p := range slices.Concat(b.Leaders, b.Crew, b.Divers) {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("nobody is called %s", name)
	return person{}
}

// joined lets a person open their page.
func (s *stage) joined(b trip, p person) {
	s.t.Helper()
	s.does(b, p, delivery.Inbound{Kind: conversation.Join})
}

// says lets a person type something on their page.
func (s *stage) says(b trip, p person, text string) {
	s.t.Helper()
	s.does(b, p, delivery.Inbound{Kind: conversation.Text, Text: text})
}

func (s *stage) does(b trip, p person, in delivery.Inbound) {
	s.t.Helper()
	s.now = s.now.Add(time.Minute)
	in.Source = "test:" + s.now.Format(time.RFC3339)
	in.Ref, in.At = in.Source, s.now
	in.Trip, in.Person, in.From = b.ID, p.ID, delivery.WebAddress(b.ID, p.ID)
	reply, err := s.door.Handle(context.Background(), in)
	if err != nil || reply != nil {
		s.t.Fatalf("%+v: %v %v", in, reply, err)
	}
}
