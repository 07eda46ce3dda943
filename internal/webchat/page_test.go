package webchat_test

import (
	"context"
	"errors"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message/messagetest"
	"gasmuster/internal/roster"
	"gasmuster/internal/webchat"
)

// Whoever only looks, a messenger that makes a preview or a hand on a shared
// phone, joins nobody and sees no conversation.
func TestOnlyTheButtonJoins(t *testing.T) {
	s := newStage(t, nil)
	for _, path := range []string{s.diver(), s.diver() + "?all=1", s.leader(), s.leader() + "/board",
		s.leader() + "/board/site"} {
		s.send(httptest.NewRequest(http.MethodHead, path, nil), nil)
		w := s.get(path)
		if page := w.Body.String(); w.Code != http.StatusOK || strings.Count(page, "<button") != 1 ||
			strings.Contains(page, `id="text"`) || strings.Contains(page, "ANALYSE") {
			t.Errorf("%s: %d, want one button and nothing else\n%s", path, w.Code, page)
		}
	}
	if len(s.door.got) != 0 {
		t.Fatalf("a look joined: %v", s.kinds())
	}
	s.opens(s.diver())
	second := s.opens(s.diver())
	if got := s.kinds(); len(got) != 1 || got[0] != conversation.Join {
		t.Errorf("got %v, want one join", got)
	}
	if !strings.Contains(second, "Anvil Ledge") || !strings.Contains(second, `id="text"`) ||
		strings.Contains(second, "⟦") {
		t.Errorf("the page lacks its field, or a text:\n%s", second)
	}
	if w := s.postTo(s.leader()+"/join", url.Values{"next": {"board"}}); w.Header().Get("Location") != s.leader()+
		"/board" {
		t.Errorf("the leader who asked for the board is sent to %q", w.Header().Get("Location"))
	}
	if w := s.postTo(s.diver()+"/join", url.Values{"next": {"//elsewhere.example"}}); w.Header().Get(
		"Location") != s.diver()+"#due" {
		t.Errorf("a form sends the diver to %q", w.Header().Get("Location"))
	}
}

// A join that can't be stored says so, and the button stays.
func TestAJoinThatIsNotStored(t *testing.T) {
	s := newStage(t, nil)
	s.door.fail = errors.New("store down")
	w := s.postTo(s.diver()+"/join", nil)
	if w.Code != http.StatusServiceUnavailable || !strings.Contains(w.Body.String(), "Not opened") ||
		!strings.Contains(w.Body.String(), "<button") {
		t.Errorf("got %d\n%s", w.Code, w.Body)
	}
}

// A preview of a link names the service, and nobody.
func TestPreviewNamesNobody(t *testing.T) {
	s := newStage(t, func(d *webchat.Deps) { d.Links = &delivery.Linker{PublicURL: "https://charter.example"} })
	for _, page := range []string{s.get(s.diver()).Body.String(), s.opens(s.diver())} {
		head, _, _ := strings.Cut(page, "</head>")
		head, _, _ = strings.Cut(head, "<style>")
		for _, want := range []string{`og:title" content="Gas check"`, `og:description" content="Tell it`,
			`og:image" content="https://charter.example/page/icon-512.png"`} {
			if !strings.Contains(head, want) {
				t.Errorf("the head lacks %q:\n%s", want, head)
			}
		}
		if strings.Contains(head, "Marit") {
			t.Errorf("the head names the person:\n%s", head)
		}
	}
}

// received is what stands under everything that was stored, recorded only under
// what a reading came of.
func TestReceivedIsNotRecorded(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	for _, c := range []struct{ text, want, not string }{{"what is my gas?", "received", "recorded"},
		{"32.4", "recorded", "received"}} {
		w := s.post(s.diver(), url.Values{"text": {c.text}, "id": {"one"}}, "Accept", "application/json")
		if own := w.Body.String(); !strings.Contains(own, c.want) || strings.Contains(own, c.not) {
			t.Errorf("%q: the script is told %s", c.text, own)
		}
		page := s.get(s.diver()).Body.String()
		_, own, _ := strings.Cut(page, `<p dir="auto">`+c.text+`</p>`)
		if own, _, _ = strings.Cut(own, "</li>"); !strings.Contains(own, c.want) || strings.Contains(own, c.not) {
			t.Errorf("%q: the page says %s", c.text, own)
		}
	}
}

// Without a script a chip begins the message with a cylinder's label and the
// other keyboard loses nothing that was typed; neither says anything.
func TestChipsAndKeyboardsKeepWhatWasTyped(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	if page := s.get(s.diver()).Body.String(); strings.Contains(page, `name="put"`) {
		t.Error("there are chips for a single cylinder")
	}
	before := len(s.door.got)
	for _, c := range []struct {
		form  url.Values
		typed string
		keys  string
	}{
		{url.Values{"put": {"7"}}, "7: ", "decimal"},
		{url.Values{"put": {"7"}, "text": {"32.1"}}, "7: 32.1", "decimal"},
		{url.Values{"put": {"22"}, "text": {"7: 32.1"}}, "7: 32.1, 22: ", "decimal"},
		{url.Values{"keys": {"letters"}, "text": {"32.1 on"}}, "32.1 on", "text"},
		{url.Values{"keys": {"numbers"}, "text": {"32.1"}}, "32.1", "decimal"},
	} {
		page := s.post(s.diver(), c.form).Body.String()
		if !strings.Contains(page, `value="`+c.typed+`"`) || !strings.Contains(page, `inputmode="`+c.keys+`"`) {
			t.Errorf("%v: the field lacks %q or the %s keyboard", c.form, c.typed, c.keys)
		}
	}
	if len(s.door.got) != before {
		t.Errorf("something was said: %v", s.kinds())
	}
}

// All that a phone loads before the first answer, over a boat's network.
func TestThePageIsSmall(t *testing.T) {
	s := newStage(t, nil)
	page := s.opens(s.diver())
	script := regexp.MustCompile(`<script src="([^"]+)"`).FindStringSubmatch(page)[1]
	sum := 0
	for _, path := range []string{s.diver(), script, "/page/icon.svg", s.diver() + "/app.webmanifest"} {
		w := s.get(path, "Accept-Encoding", "gzip")
		sum += w.Body.Len()
		t.Logf("%d bytes of %s", w.Body.Len(), path[:8])
	}
	const most = 25_000
	if sum > most {
		t.Errorf("%d bytes, want at most %d", sum, most)
	}
}

// scripts are what nobody reads, and drawings, whose lines never break.
var scripts = regexp.MustCompile(`(?s)<style.*?</style>|<script.*?</script>|<svg.*?</svg>|<[^>]*>`)

func TestAReadingIsTakenAndAnswered(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	w := s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != s.diver()+"#due" {
		t.Fatalf("got %d to %q", w.Code, w.Header().Get("Location"))
	}
	page := s.get(s.diver()).Body.String()
	for _, want := range []string{"32.4", "GO", `name="do" value="undo`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	s.opens(s.leader())
	for _, text := range []string{page, s.get(s.leader() + "/board").Body.String()} {
		if at := messagetest.Torn(scripts.ReplaceAllString(text, "\n")); at != "" {
			t.Errorf("%q can be torn apart at the end of a line", at)
		}
	}
	if own, answer := strings.Index(page, ">32.4<"), strings.Index(page, "Label: 32.4"); own < 0 || answer < own {
		t.Errorf("the answer (%d) does not stand below what was typed (%d)", answer, own)
	}
}

func TestTheSameFormTwiceIsOneMessage(t *testing.T) {
	s := newStage(t, func(d *webchat.Deps) { d.Patience = 100 * time.Millisecond }) // the second form has no answer
	s.opens(s.diver())
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
	s.opens(s.diver())
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
	s.opens(s.diver())
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
	if page := w.Body.String(); w.Code != http.StatusServiceUnavailable || !strings.Contains(page, "NOT recorded") ||
		!strings.Contains(page, `value="32.4"`) {
		t.Errorf("with the store away: got %d\n%s", w.Code, page)
	}
	s.mini.SetError("")
	s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}})
	if got := s.readings(); len(got) != 1 {
		t.Errorf("after the store came back: %d readings, want 1", len(got))
	}
}

func TestKeyboards(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	s.opens(s.leader())
	for path, want := range map[string]string{s.diver(): "decimal", s.diver() + "?keys=letters": "text",
		s.leader(): "text"} {
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
