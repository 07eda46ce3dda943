package webchat_test

import (
	"context"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
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
	s.opens(s.leader())
	diver, cylinder := string(s.trip.People[1].ID), string(s.trip.People[1].Cylinders[0].ID)
	for _, c := range []struct {
		name  string
		form  url.Values
		said  string // through the door
		shown string // on the page
	}{
		{"witnessed reading", url.Values{"act": {"for"}, "person": {diver}, "cylinder": {cylinder}, "percent": {"31.8"},
			"analyser": {"A"}},
			"/for @" + diver + " @" + cylinder + " 31.8 on A", "Watched by you"},
		{"limit", url.Values{"act": {"limit"}, "person": {diver}, "depth": {"20"}, "unit": {"m"}, "reason": {"first dive"}},
			"/limit @" + diver + " dive 1 20m because first dive", "20\u00a0m"},
		{"limit in minutes", url.Values{"act": {"limit"}, "person": {diver}, "minutes": {"15"}, "reason": {"first dive"}},
			"/limit @" + diver + " dive 1 15 min because first dive", "15 min"},
		{"limit lifted", url.Values{"act": {"limit"}, "person": {diver}, "off": {"1"}}, "/limit @" + diver + " dive 1 off",
			"Lifted"},
		{"limit of the trip", url.Values{"act": {"limit"}, "person": {diver}, "depth": {"25"}, "unit": {"m"},
			"reason": {"no practice"}, "scope": {"trip"}},
			"/limit @" + diver + " trip 25m because no practice", "25\u00a0m"},
		{"sit out", url.Values{"act": {"out"}, "person": {diver}, "reason": {"seasick"}},
			"/out @" + diver + " dive 1 seasick", "seasick"},
		{"back", url.Values{"act": {"back"}, "person": {diver}, "reason": {"better"}}, "/back @" + diver + " dive 1 better",
			"better"},
		{"outside", url.Values{"act": {"outside"}, "person": {diver}, "reason": {"rebreather"}, "scope": {"trip"}},
			"/outside @" + diver + " trip rebreather", "rebreather"},
		{"inside", url.Values{"act": {"inside"}, "person": {diver}, "scope": {"trip"}}, "/inside @" + diver + " trip",
			"Marit"},
		{"site", url.Values{"act": {"site"}, "dive": {"1"}, "depth": {"18"}, "unit": {"m"}, "reason": {"wind"}},
			"/site dive 1 18m because wind", "18\u00a0m"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.form.Set("dive_shown", "1")
			page := s.act(c.form)
			if got := s.door.got[len(s.door.got)-1]; got.Text != c.said || got.Person != s.trip.People[0].ID {
				t.Errorf("said %q by %s, want %q", got.Text, got.Person, c.said)
			}
			if _, answer, _ := strings.Cut(page, `id="answer"`); !strings.Contains(answer, c.shown) ||
				strings.Contains(answer, "@"+diver) {
				t.Errorf("the answer lacks %q:\n%s", c.shown, page)
			}
		})
	}
}

func TestBoardFormWithNothingInItDoesNothing(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.leader())
	before := len(s.door.got)
	for name, form := range map[string]url.Values{"empty": {}, "site with nothing": {"act": {"site"}, "dive": {"1"}},
		"a limit with nothing": {"act": {"limit"}, "person": {"p2"}, "reason": {"x"}},
		"unknown act":          {"act": {"forget"}, "person": {"p2"}},
		"nobody":               {"act": {"out"}, "person": {"p99"}, "reason": {"x"}}} {
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
	s.opens(s.leader())
	s.opens(s.diver())
	before := len(s.door.got)
	if w := s.get(s.diver() + "/board"); w.Code != http.StatusForbidden ||
		strings.Contains(w.Body.String(), "ANALYSE FIRST") {
		t.Errorf("a diver sees the board: %d", w.Code)
	}
	w := s.postTo(s.diver()+"/board", url.Values{"act": {"out"}, "person": {"p1"}, "reason": {"x"}})
	if w.Code != http.StatusForbidden || len(s.door.got) != before {
		t.Errorf("a diver acts on the board: %d", w.Code)
	}
	if w := s.postTo(s.leader()+"/board", url.Values{"do": {"lnudge"}}, "Sec-Fetch-Site",
		"cross-site"); w.Code != http.StatusForbidden {
		t.Errorf("another site acts on the board: %d", w.Code)
	}
	if l := s.get(s.diver() + "/events?of=board&brief=1"); strings.Contains(l.Body.String(), "event: board") {
		t.Error("a diver hears the board")
	}
}

// The record's document is for leaders.
func TestRecordAsADocument(t *testing.T) {
	s := newStage(t, nil)
	s.get(s.leader())
	s.get(s.diver())
	if w := s.get(s.leader() + "/record"); w.Code != http.StatusOK ||
		!strings.Contains(w.Body.String(), "Not signed off") {
		t.Errorf("a leader gets %d", w.Code)
	}
	if w := s.get(s.diver() + "/record"); w.Code != http.StatusForbidden ||
		strings.Contains(w.Body.String(), "Not signed off") {
		t.Errorf("a diver gets %d", w.Code)
	}
	if w := s.get("/c/nosuch/record"); w.Code != http.StatusNotFound {
		t.Errorf("a link that is none gets %d", w.Code)
	}
}

// Crew see the board and may record what they watched; limits, sit-outs and the
// site are a leader's, here as in the conversation.
func TestCrewSeeTheBoard(t *testing.T) {
	s := newStage(t, nil)
	crew := s.page(2)
	s.opens(crew)
	w := s.get(crew + "/board")
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "ANALYSE FIRST") {
		t.Fatalf("got %d", w.Code)
	}
	for _, act := range []string{"limit", "out", "outside", "site"} {
		if strings.Contains(w.Body.String(), `name="act" value="`+act+`"`) {
			t.Errorf("crew are offered %q", act)
		}
	}
	diver := s.trip.People[1]
	form := url.Values{"act": {"for"}, "person": {string(diver.ID)}, "cylinder": {string(diver.Cylinders[0].ID)},
		"percent": {"31.8"}, "dive_shown": {"1"}}
	if w := s.postTo(crew+"/board", form); w.Code != http.StatusSeeOther {
		t.Fatalf("got %d", w.Code)
	}
	if page := s.get(crew + "/board").Body.String(); !strings.Contains(page, "31.8") {
		t.Error("what crew watched is not on the board")
	}
}

func TestBoardIsLive(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	s.opens(s.leader())
	l := s.listen(s.leader()+"/events?of=board", "")
	l.until("board", "ANALYSE FIRST")
	s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	l.until("board", "32.4")
}

func TestShellIsAllThatIsCached(t *testing.T) {
	s := newStage(t, nil)
	worker := s.get("/page/worker.js")
	if worker.Header().Get("Service-Worker-Allowed") != "/c/" || strings.Contains(worker.Body.String(), "/c/p") {
		t.Errorf("%v", worker.Header())
	}
	page := s.opens(s.diver())
	_, rest, _ := strings.Cut(page, `<script src="`)
	script, _, _ := strings.Cut(rest, `"`)
	if got := s.get(script).Header().Get("Cache-Control"); !strings.Contains(got, "immutable") {
		t.Errorf("script: %q", got)
	}
	for _, path := range []string{s.diver(), s.leader() + "/board", s.diver() + "/app.webmanifest",
		s.diver() + "/events?brief=1"} {
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
	s.opens(s.leader())
	p := s.trip.People[1]
	s.act(url.Values{"act": {"for"}, "person": {string(p.ID)}, "cylinder": {string(p.Cylinders[0].ID)},
		"percent": {"31.8"}})
	if page := s.get(s.leader()).Body.String(); strings.Contains(page, `<figure class="chart"`) {
		t.Error("there is a chart before the board was asked for")
	}
	page := s.post(s.leader(), url.Values{"text": {"/board"}, "id": {"b1"}})
	if page.Code != http.StatusSeeOther {
		t.Fatalf("got %d", page.Code)
	}
	body := s.get(s.leader()).Body.String()
	if n := strings.Count(body, `<figure class="chart"`); n != 1 {
		t.Fatalf("%d charts in the conversation, want 1", n)
	}
	_, chart, _ := strings.Cut(body, `<figure class="chart"`)
	chart, _, _ = strings.Cut(chart, "</svg>")
	for _, want := range []string{`role="img"`, "each diver&#39;s max against the depths", "31.8",
		"Marit &lt;b&gt;x&lt;/b&gt;"} {
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
	s.opens(s.leader())
	p := s.trip.People[1]
	if page := s.get(s.leader() + "/board/" + string(p.ID)).Body.String(); !strings.Contains(page, "New link") {
		t.Error("the diver's page of the board offers no new link")
	}
	code := func(generation int) string { return "/c/" + s.invites.Code(s.trip.ID, p.ID, generation) }
	page := s.act(url.Values{"act": {"revoke"}, "person": {string(p.ID)}})
	if _, answer, _ := strings.Cut(page, `id="answer"`); !strings.Contains(answer, "<pre>https://charter.example"+code(2)+
		"</pre>") || strings.Contains(answer, "chat app") {
		t.Errorf("the new link is not in the answer, or one into a chat that there isn't:\n%s", answer)
	}
	if w := s.get(code(1)); w.Code != http.StatusGone {
		t.Errorf("the old link: %d, want gone", w.Code)
	}
	if w := s.get(code(2)); w.Code != http.StatusOK {
		t.Errorf("the new link: %d, want the page", w.Code)
	}
	s.opens(code(2))
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
	for generation, want := range map[int]int{1: http.StatusGone, 2: http.StatusGone, 3: http.StatusOK,
		4: http.StatusNotFound} {
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

// What stands on paper is entered at once: a row a cylinder, with when it was read and
// who watched; empty rows are left out, and what is shown names nobody by id.
func TestBoardFormOfASheet(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.leader())
	marit, bento := s.trip.People[1], string(s.trip.People[2].ID)
	c := string(marit.Cylinders[0].ID)
	form := s.get(s.leader() + "/board/paper?dive_shown=1").Body.String()
	for _, want := range []string{`name="percent_` + c + `"`, `name="at" type="time" required`, `name="by_` + c + `"`,
		"Bento", "Marit &lt;b&gt;"} {
		if !strings.Contains(form, want) {
			t.Errorf("no %s in the form", want)
		}
	}
	zone, _ := time.LoadLocation("Atlantic/Azores")
	at := time.Now().In(zone).Format("15:04")
	page := s.act(url.Values{"act": {"paper"}, "at": {at}, "by": {bento}, "analyser": {"A"}, "percent_" + c: {"32.1"},
		"dive_shown": {"1"}})
	want := "/for\n@" + string(marit.ID) + " @" + c + " 32.1 on A " + at + " by @" + bento
	if got := s.door.got[len(s.door.got)-1]; got.Text != want {
		t.Errorf("said %q, want %q", got.Text, want)
	}
	_, answer, _ := strings.Cut(page, `id="answer"`)
	if !strings.Contains(answer, "watched by Bento") || strings.Contains(answer, "@") {
		t.Errorf("the answer:\n%s", answer)
	}
	if r := s.readings(); len(r) != 1 || string(r[0].Witness) != bento {
		t.Errorf("recorded %+v", r)
	}
	before := len(s.door.got)
	if w := s.postTo(s.leader()+"/board", url.Values{"act": {"paper"}, "at": {at}, "by": {bento}}); !strings.Contains(
		w.Header().Get("Location"), "idle=1") || len(s.door.got) != before {
		t.Errorf("an empty sheet: %d %s", w.Code, w.Header())
	}
}

// Who waits at the open invite stands on the board, with one tap each: let in, let in
// with the card seen, or not.
func TestBoardLetsIn(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.leader())
	s.post(s.leader(), url.Values{"text": {"/letin"}})
	for i, name := range []string{"Aoife <i>", "Nils"} {
		n := roster.Newcomer{Name: name, Card: gas.CardUnseen, Asked: []gas.Percent{32}, From: name}
		if _, err := s.door.Knock(context.Background(), s.trip.ID, n, "knock"+strconv.Itoa(i)); err != nil {
			t.Fatal(err)
		}
	}
	board := s.get(s.leader() + "/board").Body.String()
	buttons := regexp.MustCompile(`name="do" value="(g(?:in|no) [^"]+)"`).FindAllStringSubmatch(board, -1)
	if !strings.Contains(board, "Aoife &lt;i&gt;") || len(buttons) != 6 {
		t.Fatalf("%d buttons: %v", len(buttons), buttons)
	}
	page := s.act(url.Values{"do": {buttons[0][1]}})
	if !strings.HasSuffix(buttons[0][1], "seen") || !strings.Contains(page, "Aoife &lt;i&gt;: ") {
		t.Errorf("%s: the page does not say what was done", buttons[0][1])
	}
	page = s.act(url.Values{"do": {buttons[5][1]}})
	if strings.Contains(page, `value="gin`) {
		t.Error("somebody waits who was answered")
	}
	l, err := s.store.Load(context.Background(), s.trip.ID, "")
	if err != nil {
		t.Fatal(err)
	}
	last := l.Trip.People[len(l.Trip.People)-1]
	if last.Name != "Aoife <i>" || last.Card != gas.CardSeen || len(l.Trip.People) != 4 {
		t.Errorf("let in: %+v of %d", last, len(l.Trip.People))
	}
}
