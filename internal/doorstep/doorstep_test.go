package doorstep_test

import (
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/delivery"
	"gasmuster/internal/doorstep"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// stage is the pages on an embedded store with a trip whose open invite is open.
type stage struct {
	t     *testing.T
	mini  *miniredis.Miniredis
	store *rdb.Store
	door  *delivery.Door
	pages http.Handler
	links *delivery.Linker
	trip  roster.TripID
	code  string
}

func newStage(t *testing.T) *stage {
	t.Helper()
	mini := miniredis.RunT(t)
	client, err := rdb.Open("redis://" + mini.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { client.Close() })
	s := &stage{t: t, mini: mini, store: rdb.New(client),
		links: &delivery.Linker{Invites: delivery.NewInvites("a secret for tests"), PublicURL: "https://charter.example"}}
	quiet := slog.New(slog.DiscardHandler)
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.store, Addresses: s.store.Addresses(), Invites: s.links.Invites,
		Hosts:   s.store.Hosts(),
		Limiter: s.store.Limiter(), Evening: "0 18 * * *", Quiet: "none", Log: quiet})
	s.pages = doorstep.New(doorstep.Deps{Door: s.door, Links: s.links, Renderer: message.New(), Log: quiet,
		ClientHeader: "X-Client"})
	draft := roster.Change(roster.NewTrip("", "one"))
	*draft.EditPlan() = roster.Plan{Name: "Saturday <two>-tank", Zone: "Atlantic/Azores",
		Departs: time.Now().Add(10 * time.Hour), Units: gas.Metres,
		Policy: gas.DefaultPolicy(gas.Metres),
		Dives:  []roster.Dive{{Site: "Secret Reef", Depth: gas.M(33), Bottom: gas.M(34), Minutes: 15}}}
	leader := &roster.Person{Name: "Inês Undisclosed", Leader: true}
	draft.AddPerson(leader, "", time.Now())
	draft.OpenGate(leader.ID, time.Now())
	trip, err := s.door.Create(t.Context(), draft)
	if err != nil {
		t.Fatal(err)
	}
	s.trip, s.code = trip.ID, s.links.Invites.OpenCode(trip.ID, 1)
	return s
}

// send asks for a page from an address, and returns its status, where it leads and its text.
func (s *stage) send(method, path, from string, form url.Values) (status int, to, body string) {
	s.t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Header.Set("X-Client", from)
	w := httptest.NewRecorder()
	s.pages.ServeHTTP(w, r)
	return w.Code, w.Header().Get("Location"), w.Body.String()
}

func (s *stage) gate() *roster.Gate {
	s.t.Helper()
	l, err := s.store.Load(s.t.Context(), s.trip, "")
	if err != nil {
		s.t.Fatal(err)
	}
	return l.Trip.Gate
}

var rui = url.Values{"name": {"Rui <b>"}, "card": {"nocard 40"}, "dive1": {""}, "label": {"17"}}

// Looking joins nobody; who waits sees the trip's name and day and what they typed,
// and gets to their own page once they are let in.
func TestJoin(t *testing.T) {
	s := newStage(t)
	page := "/j/" + s.code
	for _, method := range []string{http.MethodGet, http.MethodHead} {
		if status, _, _ := s.send(method, page, "192.0.2.1", nil); status != http.StatusOK || len(s.gate().Waiting) != 0 {
			t.Errorf("%s: %d, %d wait", method, status, len(s.gate().Waiting))
		}
	}
	status, to, _ := s.send(http.MethodPost, page, "192.0.2.1", rui)
	if status != http.StatusSeeOther {
		t.Fatalf("asked to come along: %d", status)
	}
	n := s.gate().Waiting[0]
	if n.Name != "Rui <b>" || n.Card != gas.CardNone || n.DepthLimit != gas.M(40) || n.Asked[0] != gas.Air ||
		n.Label != "17" || strings.Contains(n.From, "192") {
		t.Errorf("waits: %+v", n)
	}
	for _, at := range []string{page, to} {
		_, _, body := s.send(http.MethodGet, at, "192.0.2.1", nil)
		for _, secret := range []string{"Secret Reef", "33", "Undisclosed", "<b>"} {
			if strings.Contains(body, secret) {
				t.Errorf("%s tells %q:\n%s", at, secret, body)
			}
		}
		if !strings.Contains(body, "Saturday &lt;two&gt;-tank") {
			t.Errorf("%s names no trip", at)
		}
	}
}

func TestJoinWrong(t *testing.T) {
	s := newStage(t)
	for name, form := range map[string]url.Values{
		"no name":             {"card": {"card 40"}},
		"a number for a name": {"name": {"32.1"}, "card": {"card 40"}},
		"no card":             {"name": {"Rui"}},
		"a made-up card":      {"name": {"Rui"}, "card": {"card 39"}},
		"no card, enriched":   {"name": {"Rui"}, "card": {"nocard 40"}, "dive1": {"32"}},
		"too rich":            {"name": {"Rui"}, "card": {"card 40"}, "dive1": {"36"}},
		"not a blend":         {"name": {"Rui"}, "card": {"card 40"}, "dive1": {"lots"}},
	} {
		status, _, body := s.send(http.MethodPost, "/j/"+s.code, "192.0.2.1", form)
		if status != http.StatusUnprocessableEntity || !strings.Contains(body, `role="alert"`) || len(s.gate().Waiting) != 0 {
			t.Errorf("%s: %d, %d wait", name, status, len(s.gate().Waiting))
		}
	}
	for path, want := range map[string]int{"/j/open-x": 404, "/j/" + s.code + "A": 404, "/j/" + s.code + "/w/n1/x": 404,
		"/h/host-x":            404,
		"/j/" + s.code + "/qr": 200} {
		if status, _, _ := s.send(http.MethodGet, path, "192.0.2.1", nil); status != want {
			t.Errorf("%s: %d, want %d", path, status, want)
		}
	}
}

// However often the open invite is opened, ten thousand times by one address and by
// many, so many wait.
func TestStrangersAreBounded(t *testing.T) {
	s := newStage(t)
	page := "/j/" + s.code
	for range 4000 {
		s.send(http.MethodGet, page, "192.0.2.1", nil)
	}
	let := 0
	for range 3000 {
		if status, _, _ := s.send(http.MethodPost, page, "192.0.2.1", rui); status == http.StatusSeeOther {
			let++
		}
	}
	if waiting := len(s.gate().Waiting); let != waiting || waiting > 12 || waiting == 0 {
		t.Errorf("of one address %d wait, %d were let", waiting, let)
	}
	for i := range 3000 {
		status, _, _ := s.send(http.MethodPost, page, fmt.Sprintf("198.51.%d.%d", i/250, i%250), rui)
		if i == 0 && status != http.StatusSeeOther {
			t.Fatalf("one address that was refused shut others out: %d", status)
		}
	}
	if n := len(s.gate().Waiting); n != roster.MaxWaiting {
		t.Errorf("%d wait, want %d", n, roster.MaxWaiting)
	}
}

var newTrip = url.Values{"day": {time.Now().AddDate(0, 0, 2).Format(time.DateOnly)}, "clock": {"08:30"},
	"zone": {"Azores"}, "units": {"m"},
	"site1": {"Anvil Ledge"}, "depth1": {"33"}, "bottom1": {"none"}, "minutes1": {"20"},
	"site2": {"Lime Kiln"}, "depth2": {"18"}, "minutes2": {"40"}, "interval2": {"60"}, "analysers": {"A B"},
	"trip": {"aaaaaaaaaa"}}

// A host's form starts one trip, however often it is sent; what is wrong is said at
// once, all of it, with what was typed.
func TestHostForm(t *testing.T) {
	s := newStage(t)
	h := roster.Host{ID: roster.NewHostID(), Shop: "one", Name: "Nuno", Generation: 1}
	if err := s.store.Hosts().PutHost(t.Context(), h); err != nil {
		t.Fatal(err)
	}
	page := "/h/" + s.links.Invites.HostCode(h.ID, 1)
	if status, _, body := s.send(http.MethodGet, page, "", nil); status != http.StatusOK ||
		!strings.Contains(body, "Nuno") || !strings.Contains(body, "Secret Reef") {
		t.Errorf("form: %d\n%s", status, body)
	}
	wrong := url.Values{"day": {"2001-01-01"}, "clock": {"08:30"}, "zone": {"Nowhere"}, "units": {"m"},
		"site1":  {"Anvil Ledge"},
		"depth1": {"45"}, "bottom1": {"20"}, "minutes1": {"0"}}
	status, _, body := s.send(http.MethodPost, page, "", wrong)
	alerts := regexp.MustCompile(`<div class="wrong" role="alert">(.*)</div>`).FindStringSubmatch(body)
	if status != http.StatusUnprocessableEntity || alerts == nil || strings.Count(alerts[1], "<p>") < 3 ||
		!strings.Contains(body, `value="Anvil Ledge"`) {
		t.Errorf("wrong form: %d %v", status, alerts)
	}
	for _, part := range []string{"Time zone: ", "a time zone such as Atlantic/Azores is accepted", "Dive 1: Minutes: "} {
		if alerts != nil && !strings.Contains(alerts[1], part) {
			t.Errorf("%q is not said: %s", part, alerts[1])
		}
	}
	for range 2 {
		status, to, body := s.send(http.MethodPost, page, "", newTrip)
		if status != http.StatusSeeOther {
			t.Fatalf("new trip: %d\n%s", status, body)
		}
		trip, p, err := s.door.Invited(t.Context(), strings.TrimPrefix(to, "/c/"))
		if err != nil || p.Name != "Nuno" || !p.Leader || len(trip.Dives) != 2 || !trip.Dives[0].Bottomless ||
			trip.Zone != "Atlantic/Azores" {
			t.Fatalf("%+v, %v", trip, err)
		}
	}
	if got, err := s.store.Hosts().Host(t.Context(), h.ID); err != nil || got.Zone != "Atlantic/Azores" {
		t.Errorf("zone not remembered: %+v, %v", got, err)
	}
	if ids, err := s.store.List(t.Context(), "one", time.Time{}, time.Time{}); err != nil || len(ids) != 2 {
		t.Errorf("trips %v, %v", ids, err)
	}
}

// Posts of other sites are refused, and no page may be framed or kept.
func TestOtherSites(t *testing.T) {
	s := newStage(t)
	r := httptest.NewRequest(http.MethodPost, "/j/"+s.code, strings.NewReader(rui.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	w := httptest.NewRecorder()
	s.pages.ServeHTTP(w, r)
	if w.Code != http.StatusForbidden || len(s.gate().Waiting) != 0 {
		t.Errorf("of another site: %d", w.Code)
	}
	if csp := w.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "frame-ancestors 'none'") ||
		w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("headers: %v", w.Header())
	}
}

// With the store away a look says that nothing could be looked up, and only what
// was sent is not recorded.
func TestWordsWhenTheStoreIsAway(t *testing.T) {
	s := newStage(t)
	s.mini.SetError("LOADING")
	for method, want := range map[string]string{http.MethodGet: "can&#39;t be looked up at the moment",
		http.MethodPost: "NOT RECORDED"} {
		status, _, body := s.send(method, "/j/"+s.code, "192.0.2.1", rui)
		if status != http.StatusServiceUnavailable || !strings.Contains(body, want) {
			t.Errorf("%s: %d, want %q in\n%s", method, status, want, body)
		}
	}
}
