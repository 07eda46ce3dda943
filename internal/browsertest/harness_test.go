package browsertest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/chromedp/chromedp"

	"gasmuster/internal/app"
	"gasmuster/internal/roster/rdb"
)

// service is the whole service behind a real listener that can be cut off.
type service struct {
	t      *testing.T
	server *httptest.Server
	inner  http.Handler
	away   atomic.Bool
	cutOff atomic.Bool // the network was away once
	mute   atomic.Bool // the next reading from a board is taken, and its answer lost
	key    string
	log    *syncBuffer
	pages  map[string]string // by name, "/c/..."
}

type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *syncBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *syncBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

func newService(t *testing.T) *service {
	t.Helper()
	mini := miniredis.RunT(t)
	client, err := rdb.Open("redis://" + mini.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { client.Close() })
	s := &service{t: t, key: "a key for tests only", log: &syncBuffer{}, pages: map[string]string{}}
	s.server = httptest.NewServer(http.HandlerFunc(s.serve))
	cfg := app.Config{PublicURL: s.server.URL, Secret: "a secret for tests only", ShopKey: app.Secret(s.key),
		Evening: "0 18 * * *", KeepDays: 30}
	e, err := app.Embed(t.Context(), cfg, client, time.Now,
		slog.New(slog.NewTextHandler(s.log, &slog.HandlerOptions{Level: slog.LevelDebug})))
	if err != nil {
		t.Fatal(err)
	}
	s.inner = e.Handler
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { e.Post(ctx); close(done) }()
	t.Cleanup(func() {
		cancel()
		<-done
		e.EndStreams()
		s.server.CloseClientConnections()
		s.server.Close()
	})
	s.book()
	return s
}

// serve drops every connection while the service is out of reach, as a phone
// behind a headland sees it.
func (s *service) serve(w http.ResponseWriter, r *http.Request) {
	if s.away.Load() {
		panic(http.ErrAbortHandler)
	}
	if r.Method == http.MethodPost && strings.HasSuffix(r.URL.Path, "/board") && s.mute.CompareAndSwap(true, false) {
		s.inner.ServeHTTP(httptest.NewRecorder(), r)
		panic(http.ErrAbortHandler)
	}
	s.inner.ServeHTTP(w, r)
}

// cut takes the network away; join gives it back.
func (s *service) cut() {
	s.away.Store(true)
	s.cutOff.Store(true)
	s.server.CloseClientConnections()
}

func (s *service) join() { s.away.Store(false) }

// book books a trip that leaves within the four hours that a reading may be old
// on the boat.
func (s *service) book() {
	s.bookTrip(`"dives":[{"site":"Anvil Ledge","depth":30,"bottom":34,"minutes":12}],"analysers":["A"],
	 "leaders":[{"name":"Inês","card":"seen","language":"en"}],
	 "divers":[{"name":"Tomasz","card":"seen","language":"en","cylinders":[{"label":"T1","asked":32}]},
	           {"name":"Marit","card":"seen","language":"en","cylinders":[{"label":"M1","asked":32}]}]`)
}

// bookEight books eight divers with two cylinders each and a leader who doesn't dive.
func (s *service) bookEight() {
	var divers []string
	for i, name := range []string{"Tomasz", "Marit", "Yusuf", "Aoife", "Kenji", "Lucía", "Nils", "Wilhelmina Oosterhout"} {
		divers = append(divers,
			fmt.Sprintf(
				`{"name":%q,"card":"seen","language":"en","cylinders":[{"label":"%d","asked":32},{"label":"%d","asked":36,"dive":2}]}`, name, 17+i, 40+i))
	}
	s.bookTrip(`"dives":[{"site":"Anvil Ledge","depth":30,"bottom":34,"minutes":12},{"site":"Lime Kiln Wall","depth":18,"minutes":40,"interval":60}],
	 "leaders":[{"name":"Rui","card":"seen","language":"en"}],"divers":[` + strings.Join(divers, ",") + `]`)
}

func (s *service) bookTrip(people string) {
	s.t.Helper()
	departs := time.Now().Add(3 * time.Hour).UTC().Format(time.RFC3339)
	body := `{"name":"Saturday two-tank","time_zone":"Atlantic/Azores","departs_at":"` + departs + `","units":"m",` +
		people + `}`
	r := httptest.NewRequest(http.MethodPost, "/v1/trips", strings.NewReader(body))
	r.Header.Set("Authorization", "Bearer "+s.key)
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	s.inner.ServeHTTP(w, r)
	type person struct {
		Name   string
		Invite struct{ Code string }
	}
	var booked struct{ Leaders, Divers []person }
	if err := json.Unmarshal(w.Body.Bytes(), &booked); err != nil || w.Code != http.StatusCreated {
		s.t.Fatalf("not booked: %d %s", w.Code, w.Body)
	}
	for _, p := range append(booked.Leaders, booked.Divers...) {
		s.pages[p.Name] = "/c/" + p.Invite.Code
	}
}

// chromium finds the browser. Without one the test is skipped, but where
// everything has to be there (CI) it fails.
func chromium(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("no chromium: make tools installs it")
	}
	t.Skip("SKIPPED: no chromium here, so no page was looked at in a browser; make tools installs it")
	return ""
}

// browser starts one browser. Each phone has its own: a browser paints only the
// page in front.
func browser(t *testing.T) context.Context {
	t.Helper()
	path := chromium(t)
	dir, err := os.MkdirTemp("", "browsertest")
	if err != nil {
		t.Fatal(err)
	}
	alloc, stop := chromedp.NewExecAllocator(context.Background(), chromedp.ExecPath(path), chromedp.UserDataDir(dir),
		chromedp.Headless,
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck,
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.WSURLReadTimeout(90*time.Second))
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(func() { cancel(); stop(); os.RemoveAll(dir) })
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("the browser did not start: %v", err)
	}
	return ctx
}

// phone is one person's browser, with a memory of its own.
type phone struct {
	t    *testing.T
	ctx  context.Context
	s    *service
	page string
	mu   sync.Mutex
	bad  []string // what went wrong in the script, or was refused by the policy
}

func (s *service) phone(name string, width, height int64) *phone {
	s.t.Helper()
	ctx := browser(s.t)
	p := &phone{t: s.t, ctx: ctx, s: s, page: s.pages[name]}
	p.do(chromedp.EmulateViewport(width, height))
	complaints := chromedp.Console(ctx)
	go func() {
		for m, err := range complaints {
			if err != nil {
				return
			}
			if m.IsException() || m.Type == "error" {
				p.mu.Lock()
				p.bad = append(p.bad, m.String())
				p.mu.Unlock()
			}
		}
	}()
	return p
}

// patience is how long a page may take to show something. The machine that
// tests run on may be slow; a wait ends as soon as what is waited for is there.
const patience = time.Minute

func (p *phone) do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, actions...); err != nil {
		p.shot("failed")
		p.t.Fatalf("%v\n%s", err, p.text())
	}
}

// opens opens a page as its person does: the first time it has one button.
func (p *phone) opens(path string) {
	p.t.Helper()
	p.do(chromedp.Navigate(p.s.server.URL + path))
	if value[bool](p, `document.body.getAttribute("data-page") === "enter"`) {
		p.do(chromedp.Click(chromedp.CSS(`form button.send`)))
		p.waits(`document.readyState === "complete" && document.body.getAttribute("data-page") !== "enter"`)
		if value[string](p, `location.pathname + location.search`) != path {
			p.do(chromedp.Navigate(p.s.server.URL + path))
		}
	}
}

// sees waits until the visible page holds text, gone until it holds it no more.
func (p *phone) sees(text string) { p.t.Helper(); p.waits(holds(text)) }
func (p *phone) gone(text string) { p.t.Helper(); p.waits("!" + holds(text)) }

func holds(text string) string {
	quoted, _ := json.Marshal(text)
	return `document.body.innerText.split("\u00a0").join(" ").split("\u2011").join("-").includes(` + string(quoted) + `)`
}

// waits waits until an expression is true.
func (p *phone) waits(expression string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	// The page may be loaded anew meanwhile, and may have no script of its own.
	look := time.NewTicker(100 * time.Millisecond)
	defer look.Stop()
	for {
		if ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](expression)); err == nil && ok {
			return
		}
		select {
		case <-ctx.Done():
			p.shot("failed")
			p.t.Fatalf("waited in vain for %s\n%s", expression, p.text())
		case <-look.C:
		}
	}
}

func (p *phone) text() string {
	ctx, cancel := context.WithTimeout(p.ctx, 5*time.Second)
	defer cancel()
	s, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`document.body ? document.body.innerText : ""`))
	return s
}

// types types into the field and sends it.
func (p *phone) types(text string) {
	p.t.Helper()
	p.do(chromedp.SendKeys(chromedp.CSS("#text"), text), chromedp.Click(chromedp.CSS("form.write .send")))
}

// value evaluates an expression, which may be a promise.
func value[T any](p *phone, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// clean fails when the page's script or policy had anything to complain about.
func (p *phone) clean() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, b := range p.bad {
		if p.s.cutOff.Load() && strings.Contains(b, "Failed to load resource") {
			continue // what the test did itself
		}
		p.t.Errorf("the page complained: %s", b)
	}
}

// shot keeps a picture where SHOTS says, for people to look at.
func (p *phone) shot(name string) {
	dir := os.Getenv("SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(p.ctx, 10*time.Second)
	defer cancel()
	if png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot()); err == nil {
		_ = os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644)
	}
}

// missing skips a test for what is not installed; where everything has to be
// there (CI) it fails.
func missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatal(what + ": make tools installs it")
	}
	t.Skip("SKIPPED: " + what + " here, so nothing was checked; make tools installs it")
}

// axe is the source of the checker, from node_modules.
func axe(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("../../node_modules/axe-core/axe.min.js")
	if errors.Is(err, os.ErrNotExist) {
		missing(t, "no axe-core")
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// accessible fails for everything that axe finds wrong on the page. The
// checker goes in past the page's policy, by the debugger.
func (p *phone) accessible(name, axe string) {
	p.t.Helper()
	value[bool](p, axe+";true")
	found := value[string](p, `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
	  .then(r => r.passes.length < 8 ? "only " + r.passes.length + " rules were looked at" : JSON.stringify(r.violations.map(v =>
	    v.id + ": " + v.help + " " + v.nodes.map(n => n.html.slice(0, 200) + " " + (n.any[0] ? n.any[0].message : "")).join(" | "))))`)
	if found != "[]" {
		p.t.Errorf("%s: axe: %s", name, strings.ReplaceAll(found, `","`, "\"\n\""))
	}
}
