package demo

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
)

func atOnce(time.Duration) {}

func TestTheDayEndsAsScripted(t *testing.T) {
	var out bytes.Buffer
	differed, err := play(context.Background(), days, &out, atOnce)
	if err != nil || len(differed) > 0 {
		t.Errorf("%v\n%s\n%s", err, strings.Join(differed, "\n"), out.String())
	}
	if strings.Contains(out.String(), "⟦") {
		t.Errorf("a sentence is missing from the catalogue:\n%s", out.String())
	}
	if testing.Verbose() {
		t.Log(out.String())
	}
}

func TestADayThatDiffersIsAnError(t *testing.T) {
	cases := map[string]struct {
		script func(*player)
		says   string
	}{
		"another verdict": {func(p *player) {
			p.opens("Tomasz")
			p.want("Tomasz's request", p.request("Tomasz"), gas.Go)
		}, "Tomasz's request: got no-go, want go"},
		"a button that is not there": {func(p *player) {
			p.opens("Tomasz")
			p.presses("Tomasz", "lsign")
		}, `no button "lsign"`},
		"a refused call of the shop": {func(p *player) {
			p.shop("does nothing good", http.MethodPost, "/readings", `{"percent": 32}`)
		}, "/cylinder"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var stderr bytes.Buffer
			if got := runPlay(context.Background(), c.script, true, io.Discard, &stderr); got != exitError {
				t.Errorf("exit: got %d, want %d", got, exitError)
			}
			if !strings.Contains(stderr.String(), c.says) {
				t.Errorf("got %q, want %q in it", stderr.String(), c.says)
			}
		})
	}
}

func TestFlags(t *testing.T) {
	busy, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	cases := map[string]struct {
		args []string
		code int
		says string
	}{
		"unknown flag":      {[]string{"--slow"}, exitUsage, "--listen"},
		"operand":           {[]string{"now"}, exitUsage, `"now"`},
		"fast without play": {[]string{"--fast"}, exitUsage, "--play"},
		"busy port":         {[]string{"--listen", busy.Addr().String()}, exitError, busy.Addr().String()},
		"no address":        {[]string{"--listen", "nowhere"}, exitError, "nowhere"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			if got := run(context.Background(), c.args, &stdout, &stderr); got != c.code {
				t.Errorf("exit: got %d, want %d", got, c.code)
			}
			if got := stderr.String(); !strings.Contains(got, c.says) || strings.Count(got, "\n") != 1 {
				t.Errorf("got %q, want one line with %q", got, c.says)
			}
		})
	}
}

func TestPagesAreServedUntilTheEnd(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	code := make(chan int)
	go func() { code <- run(ctx, []string{"--listen", "127.0.0.1:0"}, in, io.Discard) }()
	said := make([]byte, 4096)
	n, err := out.Read(said)
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(said[:n]), "http://")
	address, _, _ := strings.Cut(rest, "\n")
	if !strings.Contains(string(said[:n]), "Nothing is kept") {
		t.Errorf("got %q", said[:n])
	}
	resp, err := http.Get("http://" + address)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		t.Errorf("got %d", resp.StatusCode)
	}
	cancel()
	if got := <-code; got != exitOK {
		t.Errorf("exit: got %d", got)
	}
}

// stage is the demo's pages on a clock that stands still.
type stage struct {
	t *testing.T
	s *service
	h http.Handler
}

func newStage(t *testing.T) stage {
	t.Helper()
	s, err := start(context.Background(), "http://127.0.0.1", evening)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.stop)
	return stage{t, s, pages(s)}
}

func (s stage) get(path string) string {
	s.t.Helper()
	w := httptest.NewRecorder()
	s.h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	if w.Code != http.StatusOK {
		s.t.Fatalf("GET %s: %d %s", path, w.Code, w.Body)
	}
	if strings.Contains(w.Body.String(), "⟦") {
		s.t.Errorf("GET %s lacks a text:\n%s", path, w.Body)
	}
	return w.Body.String()
}

func (s stage) post(path string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	s.h.ServeHTTP(w, r)
	return w
}

func TestIndexHasEveryPhoneInAFrameAndAlone(t *testing.T) {
	s := newStage(t)
	index := s.get("/")
	for _, g := range s.s.people {
		if !strings.Contains(index, `<iframe src="`+g.Page+`"`) || !strings.Contains(index, `<a href="`+g.Page+`"`) {
			t.Errorf("%s's phone is missing", g.Name)
		}
		s.get(g.Page)
	}
	if !strings.Contains(index, "Nothing is kept") {
		t.Error("it is not said that nothing is kept")
	}
}

func TestClockMovesForwardAndDrivesReminders(t *testing.T) {
	s := newStage(t)
	tomasz := s.s.person("Tomasz")
	s.get("/") // presses the button on every phone
	if w := s.post("/clock", url.Values{"to": {"dock"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("got %d %s", w.Code, w.Body)
	}
	if got := s.s.clock.Now(); !got.Equal(dock) {
		t.Errorf("clock: got %v, want %v", got, dock)
	}
	page := s.get(tomasz.Page)
	if !strings.Contains(page, "No signal, dive 1") || !strings.Contains(page, "ANALYSE FIRST") {
		t.Errorf("the evening's message or the morning's reminder did not come:\n%s", page)
	}
	s.post("/clock", url.Values{"to": {"announced"}})
	if got := s.s.clock.Now(); !got.Equal(dock) {
		t.Errorf("the clock went back to %v", got)
	}
	s.post("/clock", url.Values{"to": {"5"}})
	if got, want := s.s.clock.Now(), dock.Add(5*time.Minute); !got.Equal(want) {
		t.Errorf("clock: got %v, want %v", got, want)
	}
	if w := s.post("/clock", url.Values{"to": {"noon"}}); w.Code != http.StatusBadRequest {
		t.Errorf("an unknown moment: got %d", w.Code)
	}
}

func TestScriptMovesTheClock(t *testing.T) {
	s := newStage(t)
	r := httptest.NewRequest(http.MethodPost, "/clock", strings.NewReader("to=announced"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "application/json")
	w := httptest.NewRecorder()
	s.h.ServeHTTP(w, r)
	if got := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(got, "18:00") ||
		!strings.Contains(got, `"past":["announced"]`) {
		t.Errorf("got %d %s", w.Code, got)
	}
	index := s.get("/")
	if !strings.Contains(index, `src="/demo.js"`) || !strings.Contains(index, "/board\"") {
		t.Error("the script or the leader's board is missing")
	}
	s.get("/demo.js")
}

func TestStartOver(t *testing.T) {
	s := newStage(t)
	before := s.s.person("Tomasz").Page
	s.post("/clock", url.Values{"to": {"dock"}})
	if w := s.post("/again", nil); w.Code != http.StatusSeeOther {
		t.Fatalf("got %d %s", w.Code, w.Body)
	}
	if after := s.s.person("Tomasz").Page; after == before || !s.s.clock.Now().Equal(evening) {
		t.Errorf("not started over: %s, %v", after, s.s.clock.Now())
	}
	s.get(s.s.person("Tomasz").Page)
}

// The shop's page is the real desk: the demo signs its visitor in.
func TestShopsDesk(t *testing.T) {
	s := newStage(t)
	w := httptest.NewRecorder()
	s.h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/shop", nil))
	if w.Code != http.StatusSeeOther || len(w.Result().Cookies()) == 0 {
		t.Fatalf("got %d %s", w.Code, w.Body)
	}
	r := httptest.NewRequest(http.MethodGet, w.Header().Get("Location"), nil)
	r.AddCookie(w.Result().Cookies()[0])
	page := httptest.NewRecorder()
	s.h.ServeHTTP(page, r)
	for _, want := range []string{"Tomasz", "ANALYSE FIRST", "is too rich for", "Order 28"} {
		if !strings.Contains(strings.ReplaceAll(page.Body.String(), "\u00a0", " "), want) {
			t.Errorf("the desk lacks %q:\n%s", want, page.Body)
		}
	}
	if policy := page.Header().Get("Content-Security-Policy"); !strings.Contains(policy, "frame-ancestors 'self'") {
		t.Errorf("the demo can't frame it: %s", policy)
	}
}

func TestOtherSitesCanNotMoveTheClock(t *testing.T) {
	s := newStage(t)
	r := httptest.NewRequest(http.MethodPost, "/clock", strings.NewReader("to=dock"))
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	w := httptest.NewRecorder()
	s.h.ServeHTTP(w, r)
	if w.Code != http.StatusForbidden || !s.s.clock.Now().Equal(evening) {
		t.Errorf("got %d, clock %v", w.Code, s.s.clock.Now())
	}
}
