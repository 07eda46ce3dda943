package webchat_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gasmuster/internal/delivery"
	"gasmuster/internal/webchat"
)

func (s *stage) act(form url.Values, header ...string) string {
	s.t.Helper()
	w := s.postTo(s.leader()+"/board", form, header...)
	if w.Code != http.StatusSeeOther {
		s.t.Fatalf("got %d %s", w.Code, w.Body)
	}
	where, _, _ := strings.Cut(w.Header().Get("Location"), "#")
	return s.get(where).Body.String()
}

// Each form says one command, which the conversation understands as typed.
func TestBoardFormsSpeakToTheConversation(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.leader() + "/board")
	diver, cylinder := string(s.trip.People[1].ID), string(s.trip.People[1].Cylinders[0].ID)
	for _, c := range []struct {
		name  string
		form  url.Values
		said  string // through the door
		shown string // on the page
	}{
		{"witnessed reading", url.Values{"act": {"for"}, "person": {diver}, "cylinder": {cylinder}, "percent": {"31.8"}, "analyser": {"A"}},
			"/for @" + diver + " @" + cylinder + " 31.8 on A", "Recorded"},
		{"limit", url.Values{"act": {"limit"}, "person": {diver}, "depth": {"20"}, "unit": {"m"}, "reason": {"first dive"}},
			"/limit @" + diver + " 20m because first dive", "no deeper than 20 m"},
		{"limit lifted", url.Values{"act": {"limit"}, "person": {diver}, "off": {"1"}}, "/limit @" + diver + " off", "lifted"},
		{"sit out", url.Values{"act": {"out"}, "person": {diver}, "reason": {"seasick"}}, "/out @" + diver + " seasick", "seasick"},
		{"back", url.Values{"act": {"back"}, "person": {diver}, "reason": {"better"}}, "/back @" + diver + " better", "better"},
		{"site", url.Values{"act": {"site"}, "dive": {"1"}, "depth": {"18"}, "unit": {"m"}, "reason": {"wind"}}, "/site dive 1 18m because wind", "18 m"},
	} {
		t.Run(c.name, func(t *testing.T) {
			page := s.act(c.form)
			if got := s.door.got[len(s.door.got)-1]; got.Text != c.said || got.Person != s.trip.People[0].ID {
				t.Errorf("said %q by %s, want %q", got.Text, got.Person, c.said)
			}
			if _, answer, _ := strings.Cut(page, `id="answer"`); !strings.Contains(answer, c.shown) || strings.Contains(answer, "@"+diver) {
				t.Errorf("the answer lacks %q:\n%s", c.shown, page)
			}
		})
	}
}

func TestBoardFormWithNothingInItDoesNothing(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.leader() + "/board")
	before := len(s.door.got)
	for name, form := range map[string]url.Values{"empty": {}, "site with nothing": {"act": {"site"}, "dive": {"1"}},
		"unknown act": {"act": {"forget"}, "person": {"p2"}}, "nobody": {"act": {"out"}, "person": {"p99"}, "reason": {"x"}}} {
		if page := s.act(form); !strings.Contains(page, "nothing was done") {
			t.Errorf("%s: it is not said", name)
		}
	}
	if len(s.door.got) != before {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

func TestBoardIsForLeaders(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.leader() + "/board")
	s.get(s.diver())
	before := len(s.door.got)
	if w := s.get(s.diver() + "/board"); w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), "ANALYSE FIRST") {
		t.Errorf("a diver sees the board: %d", w.Code)
	}
	w := s.postTo(s.diver()+"/board", url.Values{"act": {"out"}, "person": {"p1"}, "reason": {"x"}})
	if w.Code != http.StatusForbidden || len(s.door.got) != before {
		t.Errorf("a diver acts on the board: %d", w.Code)
	}
	if w := s.postTo(s.leader()+"/board", url.Values{"do": {"lnudge"}}, "Sec-Fetch-Site", "cross-site"); w.Code != http.StatusForbidden {
		t.Errorf("another site acts on the board: %d", w.Code)
	}
	if l := s.get(s.diver() + "/events?of=board&brief=1"); strings.Contains(l.Body.String(), "event: board") {
		t.Error("a diver hears the board")
	}
}

func TestBoardIsLive(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.diver())
	l := s.listen(s.leader()+"/events?of=board", "")
	l.until("board", "ANALYSE FIRST")
	s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	l.until("board", "reads 32.4")
}

func TestShellIsAllThatIsCached(t *testing.T) {
	s := newStage(t, nil)
	worker := s.get("/page/worker.js")
	if worker.Header().Get("Service-Worker-Allowed") != "/c/" || strings.Contains(worker.Body.String(), "/c/p") {
		t.Errorf("%v", worker.Header())
	}
	page := s.get(s.diver()).Body.String()
	_, rest, _ := strings.Cut(page, `<script src="`)
	script, _, _ := strings.Cut(rest, `"`)
	if got := s.get(script).Header().Get("Cache-Control"); !strings.Contains(got, "immutable") {
		t.Errorf("script: %q", got)
	}
	for _, path := range []string{s.diver(), s.leader() + "/board", s.diver() + "/app.webmanifest", s.diver() + "/events?brief=1"} {
		if got := s.get(path).Header().Get("Cache-Control"); got != "no-store" {
			t.Errorf("%s may be cached: %q", path[len(path)-10:], got)
		}
	}
	manifest := s.get(s.diver() + "/app.webmanifest").Body.String()
	if !strings.Contains(manifest, `"start_url":"`+s.diver()+`"`) {
		t.Errorf("manifest: %s", manifest)
	}
}

// The chart that comes with the board is drawn in the conversation too, with
// words that say the same; other messages have none.
func TestTheChatDrawsTheChart(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.leader() + "/board")
	p := s.trip.People[1]
	s.act(url.Values{"act": {"for"}, "person": {string(p.ID)}, "cylinder": {string(p.Cylinders[0].ID)}, "percent": {"31.8"}})
	if page := s.get(s.leader()).Body.String(); strings.Contains(page, "<svg") {
		t.Error("there is a chart before the board was asked for")
	}
	page := s.post(s.leader(), url.Values{"text": {"/board"}, "id": {"b1"}})
	if page.Code != http.StatusSeeOther {
		t.Fatalf("got %d", page.Code)
	}
	body := s.get(s.leader()).Body.String()
	if n := strings.Count(body, "<svg"); n != 1 {
		t.Fatalf("%d charts in the conversation, want 1", n)
	}
	_, chart, _ := strings.Cut(body, "<svg")
	chart, _, _ = strings.Cut(chart, "</svg>")
	for _, want := range []string{`role="img"`, "MOD of each cylinder against the depths", "31.8", "Marit &lt;b&gt;x&lt;/b&gt;"} {
		if !strings.Contains(chart, want) {
			t.Errorf("the chart lacks %q:\n%s", want, chart)
		}
	}
}

// A leader gives somebody a new link on the board: for who never came in at
// once, for who did after a yes; then the old link opens nothing, the new one
// everything that was said.
func TestANewLinkFromTheBoard(t *testing.T) {
	s := newStage(t, func(d *webchat.Deps) {
		d.Links = &delivery.Linker{Invites: delivery.NewInvites("a secret for tests"), PublicURL: "https://charter.example"}
	})
	if page := s.get(s.leader() + "/board").Body.String(); !strings.Contains(page, "New link for Marit") || strings.Contains(page, "New link for Inês") {
		t.Error("the board offers no new link for the diver, or one for the leader")
	}
	p := s.trip.People[1]
	code := func(generation int) string { return "/c/" + s.invites.Code(s.trip.ID, p.ID, generation) }
	page := s.act(url.Values{"act": {"revoke"}, "person": {string(p.ID)}})
	if _, answer, _ := strings.Cut(page, `id="answer"`); !strings.Contains(answer, "<pre>https://charter.example"+code(2)+"</pre>") || strings.Contains(answer, "chat app") {
		t.Errorf("the new link is not in the answer, or one into a chat that there isn't:\n%s", answer)
	}
	if w := s.get(code(1)); w.Code != http.StatusGone {
		t.Errorf("the old link: %d, want gone", w.Code)
	}
	if w := s.get(code(2)); w.Code != http.StatusOK {
		t.Errorf("the new link: %d, want the page", w.Code)
	}
	page = s.act(url.Values{"act": {"revoke"}, "person": {string(p.ID)}})
	if w := s.get(code(2)); w.Code != http.StatusOK {
		t.Errorf("the question alone closed the link: %d", w.Code)
	}
	do := "lrevoke " + string(p.ID) + " 2"
	if !strings.Contains(page, do) {
		t.Fatalf("nothing to say yes with:\n%s", page)
	}
	if page = s.act(url.Values{"do": {do}, "of": {"x"}}); !strings.Contains(page, code(3)) {
		t.Errorf("the third link is not in the answer:\n%s", page)
	}
	for generation, want := range map[int]int{1: http.StatusGone, 2: http.StatusGone, 3: http.StatusOK, 4: http.StatusNotFound} {
		if w := s.get(code(generation)); w.Code != want {
			t.Errorf("link %d: %d, want %d", generation, w.Code, want)
		}
	}
	entries, err := s.store.Chats().Read(t.Context(), s.trip.ID, s.trip.People[0].ID, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		for g := range 4 {
			if strings.Contains(string(e.Payload)+e.Text, code(g)) {
				t.Errorf("link %d is stored: %s", g, e.Payload)
			}
		}
	}
}
