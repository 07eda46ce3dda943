package desk_test

import (
	"bytes"
	"context"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/desk"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/roster/rostertest"
	"gasmuster/internal/webhook"
)

// stage is the desk on an embedded store with two shops, and a clock that the
// test moves.
type stage struct {
	t      testing.TB
	now    time.Time
	mini   *miniredis.Miniredis
	store  *rdb.Store
	door   *delivery.Door
	desk   *desk.Desk
	log    bytes.Buffer
	cookie *http.Cookie
}

const (
	keyOne = "key-of-the-first-shop-0123456789"
	keyTwo = "key-of-the-second-shop-0123456789"
)

func newStage(t testing.TB) *stage { return newStageAt(t, "https://gas.example") }

func newStageAt(t testing.TB, address string) *stage {
	t.Helper()
	s := &stage{t: t, now: time.Date(2027, 5, 14, 12, 0, 0, 0, time.UTC), mini: miniredis.RunT(t)}
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
	log := slog.New(slog.NewTextHandler(&s.log, nil))
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: watched(t, s.store), Addresses: s.store.Addresses(),
		Pages: s.store.Chats(), Traces: s.store, Shops: s.store.Shops(), Invites: invites,
		Evening: "0 18 * * *", Quiet: "22:00-06:00", Now: clock, Log: log})
	sealer, err := webhook.NewSealer("a secret for tests")
	if err != nil {
		t.Fatal(err)
	}
	s.desk = desk.New(desk.Deps{Door: s.door, Eraser: s.door, Trips: s.store, Shops: s.store.Shops(),
		SignIns: s.store.SignIns(),
		Hooks:   webhook.Desk{News: s.store.News(), Trips: s.store, Sealer: sealer, Now: clock},
		Hosts:   booking.Hosts{Store: s.store.Hosts(), Now: clock},
		Limiter: s.store.Limiter(), Renderer: message.New(), Links: &delivery.Linker{Invites: invites, PublicURL: address},
		Now: clock, Log: log, PublicURL: address, KeepDays: 30})
	for id, key := range map[roster.ShopID]string{"one": keyOne, "two": keyTwo} {
		if err := s.store.Shops().PutShop(context.Background(),
			roster.Shop{ID: id, Name: "Shop " + string(id), KeyHash: keys.Hash(key), Created: s.now}); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// hole is a place of a sentence that nothing was put into.
var hole = regexp.MustCompile(`.{0,60}(?:no value|⟦).{0,60}`)

// answer is a page as it came.
type answer struct {
	t      testing.TB
	Status int
	Header http.Header
	Body   string
}

func (s *stage) send(r *http.Request) answer {
	s.t.Helper()
	if s.cookie != nil {
		r.AddCookie(s.cookie)
	}
	w := httptest.NewRecorder()
	s.desk.ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		if c.Name == "desk" {
			s.cookie = c
		}
	}
	html := strings.HasPrefix(w.Header().Get("Content-Type"), "text/html")
	if body := w.Body.String(); html && hole.MatchString(body) {
		s.t.Errorf("%s %s has a hole in a sentence: %q", r.Method, r.URL, hole.FindString(body))
	}
	return answer{s.t, w.Code, w.Header(), w.Body.String()}
}

func (s *stage) get(path string) answer {
	s.t.Helper()
	return s.send(httptest.NewRequest(http.MethodGet, "https://gas.example"+path, nil))
}

func (s *stage) post(path string, form url.Values) answer {
	s.t.Helper()
	r := httptest.NewRequest(http.MethodPost, "https://gas.example"+path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.send(r)
}

// upload posts a file as a browser does.
func (s *stage) upload(name string, body []byte) answer {
	s.t.Helper()
	return s.uploadIn("en", name, body)
}

func (s *stage) uploadIn(lang, name string, body []byte) answer {
	s.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile("file", name)
	if err != nil {
		s.t.Fatal(err)
	}
	_, _ = part.Write(body)
	_ = form.Close()
	r := httptest.NewRequest(http.MethodPost, "https://gas.example/desk/trips/file?lang="+lang, &b)
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.send(r)
}

func (a answer) want(status int) answer {
	a.t.Helper()
	if a.Status != status {
		a.t.Fatalf("got %d, want %d: %s", a.Status, status, a.words())
	}
	return a
}

// says fails unless the page holds each text.
func (a answer) says(texts ...string) answer {
	a.t.Helper()
	for _, text := range texts {
		if !strings.Contains(a.words(), text) {
			a.t.Errorf("%q is not on the page:\n%s", text, a.words())
		}
	}
	return a
}

func (a answer) not(texts ...string) answer {
	a.t.Helper()
	for _, text := range texts {
		if strings.Contains(a.words(), text) {
			a.t.Errorf("%q is on the page:\n%s", text, a.words())
		}
	}
	return a
}

var (
	markup = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)
	blanks = regexp.MustCompile(`\s+`)
)

// words are what a reader sees.
func (a answer) words() string {
	text := markup.ReplaceAllString(a.Body, " ")
	return blanks.ReplaceAllString(strings.NewReplacer("&#39;", "'", "&#34;", `"`, "&amp;", "&", "\u00a0", " ", "\u2068",
		"", "\u2069", "").Replace(text), " ")
}

func (s *stage) signIn(key string) answer {
	s.t.Helper()
	s.cookie = nil
	return s.post("/desk/in", url.Values{"key": {key}})
}

// booked signs in and books the example.
func (s *stage) booked() roster.TripID {
	s.t.Helper()
	s.signIn(keyOne).want(http.StatusSeeOther)
	return s.book("one", "saturday.json")
}

func (s *stage) book(shop roster.ShopID, name string) roster.TripID {
	s.t.Helper()
	body, err := os.ReadFile("../../testdata/trips/" + name)
	if err != nil {
		s.t.Fatal(err)
	}
	draft, _, err := booking.ReadTrip(body, "application/json", nil, s.now)
	if err != nil {
		s.t.Fatal(err)
	}
	draft.Shop = shop
	t, err := s.door.Create(context.Background(), draft)
	if err != nil {
		s.t.Fatal(err)
	}
	return t.ID
}

func (s *stage) trip(id roster.TripID) *roster.Trip {
	s.t.Helper()
	l, err := s.store.Load(context.Background(), id, "")
	if err != nil {
		s.t.Fatal(err)
	}
	return l.Trip
}

func (s *stage) person(id roster.TripID, name string) *roster.Person {
	s.t.Helper()
	for _, p := range s.trip(id).People {
		if p.Name == name {
			return p
		}
	}
	s.t.Fatalf("nobody is called %s", name)
	return nil
}

// watched holds every published trip to what it was; a benchmark goes without.
func watched(t testing.TB, store *rdb.Store) roster.Store {
	if t, ok := t.(*testing.T); ok {
		return rostertest.Watch(t, store)
	}
	return store
}
