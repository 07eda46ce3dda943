package webchat_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
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
