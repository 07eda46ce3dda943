package webchat_test

import (
	"bufio"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
	"gasmuster/internal/webchat"
)

// event is one server-sent event.
type event struct{ name, id, data string }

// listener reads a live stream over a real connection.
type listener struct {
	t    *testing.T
	resp *http.Response
	in   *bufio.Scanner
}

func (s *stage) listen(path, lastID string) *listener {
	s.t.Helper()
	server := httptest.NewServer(s.handler)
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+path, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	if lastID != "" {
		r.Header.Set("Last-Event-ID", lastID)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { cancel(); resp.Body.Close(); server.CloseClientConnections(); server.Close() })
	in := bufio.NewScanner(resp.Body)
	in.Buffer(nil, 1<<20)
	return &listener{s.t, resp, in}
}

// next is the next event, ok false at the end of the stream.
func (l *listener) next() (e event, ok bool) {
	for l.in.Scan() {
		name, value, _ := strings.Cut(l.in.Text(), ": ")
		switch {
		case l.in.Text() == "" && e.name != "":
			return e, true
		case name == "event":
			e.name = value
		case name == "id":
			e.id = value
		case name == "data":
			e.data = value
		}
	}
	return e, false
}

// until is the next event with that name that holds text.
func (l *listener) until(name, text string) event {
	l.t.Helper()
	for {
		e, ok := l.next()
		if !ok {
			l.t.Fatalf("the stream ended before %s with %q", name, text)
		}
		if e.name == name && strings.Contains(e.data, text) {
			return e
		}
	}
}

func TestStreamBringsWhatIsNewAndResumes(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	first := s.listen(s.diver()+"/events", "")
	if got := first.resp.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Errorf("Content-Type: %s", got)
	}
	first.until("now", "")
	s.post(s.diver(), url.Values{"text": {"32.4"}, "id": {"one"}}, "Accept", "application/json")
	var own, answer event
	for own.id == "" || answer.id == "" { // which of them is stored first is nobody's promise
		switch e := first.until("entry", ""); {
		case strings.Contains(e.data, `"client":"one"`):
			own = e
		case strings.Contains(e.data, "Label: 32.4"):
			answer = e
		}
	}

	entries, err := s.store.Chats().Read(t.Context(), s.trip.ID, s.trip.People[1].ID, "")
	if err != nil || len(entries) < 2 {
		t.Fatal(err, entries)
	}
	last := entries[len(entries)-1].ID
	again := s.listen(s.diver()+"/events", last)
	for {
		e, ok := again.next()
		if !ok || e.name == "now" {
			break
		}
		if e.id == own.id || e.id == answer.id {
			t.Errorf("sent again after %q: %s", last, e.data)
		}
	}
}

// Another process commits: nothing tells this one, it has to look.
func TestStreamSeesWhatOtherProcessesStore(t *testing.T) {
	s := newStage(t, func(d *webchat.Deps) { d.Live.Look = 20 * time.Millisecond })
	s.opens(s.diver())
	l := s.listen(s.diver()+"/events", "")
	l.until("now", "")
	err := s.store.Chats().Append(t.Context(), s.trip.ID, s.trip.People[1].ID,
		roster.Entry{ID: "elsewhere", At: time.Now(), Own: true, Text: "from elsewhere"})
	if err != nil {
		t.Fatal(err)
	}
	l.until("entry", "from elsewhere")
}

func TestStreamEnds(t *testing.T) {
	t.Run("when the service stops", func(t *testing.T) {
		s := newStage(t, nil)
		l := s.listen(s.diver()+"/events", "")
		l.until("now", "")
		s.pages.EndStreams()
		for ok := true; ok; {
			_, ok = l.next()
		}
	})
	t.Run("when the link is revoked", func(t *testing.T) {
		s := newStage(t, func(d *webchat.Deps) { d.Live.Look = 20 * time.Millisecond })
		l := s.listen(s.diver()+"/events", "")
		l.until("now", "")
		s.revoke(1)
		l.until("closed", "")
		if w := s.get(s.diver() + "/events"); w.Code != http.StatusGone {
			t.Errorf("again: got %d", w.Code)
		}
		w := s.post(s.diver(), url.Values{"text": {"32.4"}}, "Accept", "application/json")
		if w.Code != http.StatusGone || !strings.Contains(w.Body.String(), "replaced by a newer one") {
			t.Errorf("post: got %d %s", w.Code, w.Body)
		}
	})
	t.Run("when it has lasted long enough", func(t *testing.T) {
		s := newStage(t, func(d *webchat.Deps) { d.Live.Longest = 50 * time.Millisecond })
		l := s.listen(s.diver()+"/events", "")
		for ok := true; ok; {
			_, ok = l.next()
		}
	})
}

func (s *stage) revoke(i int) {
	s.t.Helper()
	l, err := s.store.Load(s.t.Context(), s.trip.ID, "")
	if err != nil {
		s.t.Fatal(err)
	}
	d := roster.Change(l.Trip)
	d.Edit(d.People[i].ID).Generation++
	if _, err := s.store.Commit(s.t.Context(), roster.Commit{Was: l.Trip, Trip: d.Done(), Token: roster.NewToken(),
		Expire: time.Now().Add(time.Hour)}); err != nil {
		s.t.Fatal(err)
	}
}

func TestStreamsAreBounded(t *testing.T) {
	s := newStage(t, func(d *webchat.Deps) { d.Live.StreamsOfOne = 1 })
	l := s.listen(s.diver()+"/events", "")
	l.until("now", "")
	w := s.get(s.diver() + "/events")
	if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") == "" {
		t.Errorf("got %d, Retry-After %q", w.Code, w.Header().Get("Retry-After"))
	}
	if w := s.get(s.leader() + "/events?brief=1"); w.Code != http.StatusOK {
		t.Errorf("another link: got %d", w.Code)
	}
}

func TestALinkThatIsUsedTooOftenWaits(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	w := httptest.NewRecorder()
	for n := 0; w.Code != http.StatusTooManyRequests && n < 600; n++ { // sixty a minute, of which some may pass meanwhile
		w = s.post(s.diver(), url.Values{"text": {"/help"}}, "Accept", "application/json")
	}
	if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") == "" ||
		strings.Contains(w.Body.String(), "true") {
		t.Errorf("got %d %s", w.Code, w.Body)
	}
	if w := s.get(s.diver()); w.Code != http.StatusOK {
		t.Errorf("looking is refused as well: %d", w.Code)
	}
}

// A message that the phone kept is dated by when it was typed.
func TestKeptMessageIsDated(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	for age, want := range map[string]time.Duration{"600000": 10 * time.Minute, "99999999999999999": 24 * time.Hour,
		"-5": 0, "soon": 0} {
		before := time.Now()
		w := s.post(s.diver(), url.Values{"text": {"/gas"}, "id": {"a" + strings.Trim(age, "-")}, "age": {age}}, "Accept",
			"application/json")
		var got struct{ Stored bool }
		if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || !got.Stored {
			t.Fatalf("%s: %d %s", age, w.Code, w.Body)
		}
		in := s.door.got[len(s.door.got)-1]
		if typed := in.At.Add(want); in.Kind != conversation.Text || typed.Before(before) || typed.After(time.Now()) {
			t.Errorf("age %s: dated %v before now, want %v", age, time.Since(in.At), want)
		}
	}
}
