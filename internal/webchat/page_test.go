package webchat_test

import (
	"context"
	"errors"
	"html"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/webchat"
)

// stage is the pages on an embedded store, with the real door and postman.
type stage struct {
	t       *testing.T
	mini    *miniredis.Miniredis
	store   *rdb.Store
	door    *counting
	handler http.Handler
	pages   *webchat.Pages
	invites delivery.Invites
	trip    *roster.Trip
	log     *strings.Builder
}

// counting is the door, with what came through it and a switch to break it.
type counting struct {
	*delivery.Door
	got  []delivery.Inbound
	fail error
}

func (c *counting) Handle(ctx context.Context, in delivery.Inbound) (*delivery.Reply, error) {
	if c.fail != nil {
		return nil, c.fail
	}
	c.got = append(c.got, in)
	return c.Door.Handle(ctx, in)
}

func newStage(t *testing.T, change func(*webchat.Deps)) *stage {
	t.Helper()
	s := &stage{t: t, mini: miniredis.RunT(t), invites: delivery.NewInvites("a secret for tests"), log: new(strings.Builder)}
	client, err := rdb.Open("redis://" + s.mini.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { client.Close() })
	s.store = rdb.New(client)
	log := slog.New(slog.NewTextHandler(s.log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
	var postman *delivery.Postman
	var appended func(roster.TripID, roster.PersonID)
	door := delivery.NewDoor(delivery.DoorConfig{Store: s.store, People: s.store.People(), Pages: s.store.Chats(),
		Invites: s.invites, Kick: func() { postman.Kick() }, Log: quiet})
	postman = delivery.NewPostman(delivery.PostmanConfig{Outbox: s.store.Outbox(), Door: door, Log: quiet,
		Senders: []delivery.Sender{delivery.WebSender{Chats: s.store.Chats(), Now: time.Now,
			Appended: func(t roster.TripID, p roster.PersonID) { appended(t, p) }}}})
	s.door = &counting{Door: door}
	s.book()
	d := webchat.Deps{Door: s.door, Chats: s.store.Chats(), Renderer: message.New(), Log: log, Patience: 5 * time.Second}
	d.Limiter = s.store.Limiter()
	if change != nil {
		change(&d)
	}
	s.pages = webchat.New(d)
	s.handler = s.pages
	appended = s.pages.Appended
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { postman.Run(ctx); close(done) }()
	t.Cleanup(func() { cancel(); <-done })
	return s
}

func (s *stage) book() {
	s.t.Helper()
	now := time.Now()
	s.trip = &roster.Trip{Shop: "one", Name: "Saturday <two>-tank", Zone: "Atlantic/Azores", Departs: now.Add(10 * time.Hour),
		Policy: gas.DefaultPolicy(), Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20}},
		Analysers: []roster.Analyser{{Name: "A"}}}
	s.trip.AddPerson(&roster.Person{Name: "Inês", Leader: true, Card: gas.CardSeen}, "", now)
	s.trip.AddPerson(&roster.Person{Name: "Marit <b>x</b>", Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{Label: "7", Asked: 32, Dive: 1}}}, "", now)
	if err := s.door.Create(context.Background(), s.trip); err != nil {
		s.t.Fatal(err)
	}
}

// diver and leader are the addresses of the two pages.
func (s *stage) diver() string  { return s.page(1) }
func (s *stage) leader() string { return s.page(0) }

func (s *stage) page(i int) string {
	p := s.trip.People[i]
	return "/c/" + s.invites.Code(s.trip.ID, p.ID, p.Generation)
}

func (s *stage) get(path string, header ...string) *httptest.ResponseRecorder {
	return s.send(httptest.NewRequest(http.MethodGet, path, nil), header)
}

func (s *stage) post(page string, form url.Values, header ...string) *httptest.ResponseRecorder {
	return s.postTo(page+"/messages", form, header...)
}

func (s *stage) postTo(path string, form url.Values, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.send(r, header)
}

func (s *stage) send(r *http.Request, header []string) *httptest.ResponseRecorder {
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	return w
}

// kinds are the kinds of what came through the door.
func (s *stage) kinds() (kinds []conversation.Kind) {
	for _, in := range s.door.got {
		kinds = append(kinds, in.Kind)
	}
	return kinds
}

func TestOpeningThePageJoinsOnce(t *testing.T) {
	s := newStage(t, nil)
	s.send(httptest.NewRequest(http.MethodHead, s.diver(), nil), nil)
	s.get(s.diver(), "Sec-Purpose", "prefetch")
	if len(s.door.got) != 0 {
		t.Fatalf("a look ahead joined: %v", s.kinds())
	}
	first := s.get(s.diver())
	second := s.get(s.diver())
	if got := s.kinds(); len(got) != 1 || got[0] != conversation.Join {
		t.Errorf("got %v, want one join", got)
	}
	for _, w := range []*httptest.ResponseRecorder{first, second} {
		if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Anvil Ledge") {
			t.Errorf("got %d\n%s", w.Code, w.Body)
		}
	}
	if strings.Contains(second.Body.String(), "⟦") {
		t.Errorf("a text is missing:\n%s", second.Body)
	}
}

func TestAReadingIsTakenAndAnswered(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	w := s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != s.diver()+"#last" {
		t.Fatalf("got %d to %q", w.Code, w.Header().Get("Location"))
	}
	page := s.get(s.diver()).Body.String()
	for _, want := range []string{"32.4", "GO", `name="do" value="undo`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if own, answer := strings.Index(page, ">32.4<"), strings.Index(page, "Write on the cylinder"); own < 0 || answer < own {
		t.Errorf("the answer (%d) does not stand below what was typed (%d)", answer, own)
	}
}

func TestTheSameFormTwiceIsOneMessage(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	form := url.Values{"text": {"32.4"}, "id": {"one"}}
	s.post(s.diver(), form)
	s.post(s.diver(), form)
	if got := s.readings(); len(got) != 1 {
		t.Errorf("readings: got %d, want 1", len(got))
	}
	page := s.get(s.diver()).Body.String()
	if n := strings.Count(page, ">32.4<"); n != 1 {
		t.Errorf("what was typed stands on the page %d times", n)
	}
	// The phone kept the page and its form, and another number is sent with it.
	s.post(s.diver(), url.Values{"text": {"no, 31.4"}, "id": {"one"}})
	if got := s.readings(); len(got) != 2 || got[1].Percent != 31.4 {
		t.Errorf("a new number with an old form was lost: %+v", got)
	}
}

func (s *stage) readings() []*roster.Reading {
	l, err := s.store.Load(context.Background(), s.trip.ID, "")
	if err != nil {
		s.t.Fatal(err)
	}
	return l.Trip.People[1].Cylinders[0].Readings
}

var undo = regexp.MustCompile(`name="of" value="([^"]+)">(?s:.{0,200}?)name="do" value="(undo [^"]+)"`)

func TestAButtonIsPressed(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	m := undo.FindStringSubmatch(s.get(s.diver()).Body.String())
	if m == nil {
		t.Fatal("no undo button")
	}
	s.post(s.diver(), url.Values{"do": {html.UnescapeString(m[2])}, "of": {html.UnescapeString(m[1])}, "id": {"two"}})
	if got := s.readings(); got[0].Undone.IsZero() {
		t.Errorf("not undone: %+v", got[0])
	}
	if page := s.get(s.diver()).Body.String(); !regexp.MustCompile(`<p[^>]*>Undo</p>`).MatchString(page) {
		t.Error("what was pressed does not stand on the page")
	}
}

func TestNotRecordedIsSaidAndTheTextKept(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	s.door.fail = errors.New("store down")
	w := s.post(s.diver(), url.Values{"text": {`32.4 "on" A`}, "id": {"one"}})
	page := w.Body.String()
	if w.Code != http.StatusServiceUnavailable || !strings.Contains(page, "NOT recorded") ||
		!strings.Contains(page, `value="32.4 &#34;on&#34; A"`) || !strings.Contains(page, `name="id" value="one"`) {
		t.Errorf("got %d\n%s", w.Code, page)
	}
	s.door.fail = nil
	s.mini.SetError("LOADING")
	w = s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	if page := w.Body.String(); w.Code != http.StatusServiceUnavailable || !strings.Contains(page, "NOT recorded") || !strings.Contains(page, `value="32.4"`) {
		t.Errorf("with the store away: got %d\n%s", w.Code, page)
	}
	s.mini.SetError("")
	s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	if got := s.readings(); len(got) != 1 {
		t.Errorf("after the store came back: %d readings, want 1", len(got))
	}
}

func TestPagesThatOpenNothing(t *testing.T) {
	s := newStage(t, nil)
	for name, c := range map[string]struct {
		path   string
		status int
	}{
		"nonsense":       {"/c/hello", http.StatusNotFound},
		"changed":        {s.diver()[:len(s.diver())-1] + "_", http.StatusNotFound},
		"other person":   {strings.Replace(s.diver(), "-"+string(s.trip.People[1].ID)+"-", "-"+string(s.trip.People[0].ID)+"-", 1), http.StatusNotFound},
		"trip not there": {"/c/" + s.invites.Code("abcdefghij", "p1", 1), http.StatusGone},
	} {
		t.Run(name, func(t *testing.T) {
			if w := s.get(c.path); w.Code != c.status || strings.Contains(w.Body.String(), "<form") {
				t.Errorf("GET: got %d, want %d\n%s", w.Code, c.status, w.Body)
			}
			if w := s.post(c.path, url.Values{"text": {"32.4"}}); w.Code != c.status {
				t.Errorf("POST: got %d, want %d", w.Code, c.status)
			}
		})
	}
	if len(s.door.got) != 0 {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

func TestWhatPeopleTypeIsEscaped(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	s.post(s.diver(), url.Values{"text": {`<script>alert(1)</script>"><img src=x>`}, "id": {"one"}})
	page := s.get(s.diver()).Body.String()
	for _, bad := range []string{"<script>", "<img", "<b>x", "<two>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if !strings.Contains(page, "&lt;script&gt;alert(1)") {
		t.Error("what was typed is not shown")
	}
}

func TestSecurityHeaders(t *testing.T) {
	s := newStage(t, nil)
	for _, w := range []*httptest.ResponseRecorder{s.get(s.diver()), s.get("/c/hello"), s.get("/c/")} {
		csp := w.Header().Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "frame-ancestors 'none'", "form-action 'self'", "base-uri 'none'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("policy lacks %q: %s", want, csp)
			}
		}
		if strings.Contains(csp, "unsafe") || !strings.Contains(csp, "script-src 'self';") || strings.Contains(csp, "http") {
			t.Errorf("policy: %s", csp)
		}
		for name, want := range map[string]string{"Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"} {
			if got := w.Header().Get(name); got != want {
				t.Errorf("%s: got %q, want %q", name, got, want)
			}
		}
	}
	page := s.get(s.diver()).Body.String()
	for _, page := range []string{page, s.get(s.leader() + "/board").Body.String(), s.get("/page/offline").Body.String()} {
		if m := regexp.MustCompile(`(?i)<script[^>]*>[^<]|(src|href)="(https?:)?//|\sstyle="|\son[a-z]+=`).FindString(page); m != "" {
			t.Errorf("the page has an inline script or style, or asks another site: %q", m)
		}
	}
}

func TestPostsOfOtherSitesAreRefused(t *testing.T) {
	s := newStage(t, nil)
	for name, header := range map[string][]string{"cross-site": {"Sec-Fetch-Site", "cross-site"}, "other origin": {"Origin", "https://elsewhere.example"}} {
		if w := s.post(s.diver(), url.Values{"text": {"32.4"}}, header...); w.Code != http.StatusForbidden {
			t.Errorf("%s: got %d", name, w.Code)
		}
	}
	if len(s.door.got) != 0 {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

func TestTokenIsNotLogged(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	s.door.fail = errors.New("store down")
	s.post(s.diver(), url.Values{"text": {"32.4"}})
	s.get(s.leader())
	token := strings.TrimPrefix(s.diver(), "/c/")
	if out := s.log.String(); out == "" || strings.Contains(out, token[len(token)-22:]) || strings.Contains(out, "Marit") || strings.Contains(out, "32.4") {
		t.Errorf("log: %s", out)
	}
}

func TestTooLongIsRefused(t *testing.T) {
	s := newStage(t, nil)
	for _, n := range []int{4097, 100_000} {
		w := s.post(s.diver(), url.Values{"text": {strings.Repeat("9", n)}})
		if w.Code != http.StatusRequestEntityTooLarge || !strings.Contains(w.Body.String(), "NOT recorded") {
			t.Errorf("%d characters: got %d", n, w.Code)
		}
	}
	if len(s.door.got) != 0 {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

func TestKeyboards(t *testing.T) {
	s := newStage(t, nil)
	for path, want := range map[string]string{s.diver(): "decimal", s.diver() + "?keys=letters": "text", s.leader(): "text"} {
		if page := s.get(path).Body.String(); !strings.Contains(page, `inputmode="`+want+`"`) {
			t.Errorf("%s: want the %s keyboard", path[:5], want)
		}
	}
	if page := s.get(s.diver() + "?live=1").Body.String(); !strings.Contains(page, `http-equiv="refresh"`) {
		t.Error("a page asked to refresh by itself does not")
	}
	if page := s.get(s.diver()).Body.String(); strings.Contains(page, `http-equiv="refresh"`) {
		t.Error("a page refreshes by itself, and what is being typed is lost")
	}
}

func TestFramesOfTheDemo(t *testing.T) {
	s := newStage(t, func(d *webchat.Deps) { d.Framed = true })
	w := s.get(s.diver())
	if csp := w.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "frame-ancestors 'self'") {
		t.Errorf("policy: %s", csp)
	}
	if got := w.Header().Get("Referrer-Policy"); got != "same-origin" {
		t.Errorf("Referrer-Policy: got %q", got)
	}
}
