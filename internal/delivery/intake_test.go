package delivery_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

func TestTextIsCommittedOnce(t *testing.T) {
	s := newStage(t)
	for range 2 { // the channel delivers it again
		if r := s.handled(t, text("tg:1", "32.4")); r != nil {
			t.Errorf("reply %q, want none: the answer goes through the outbox", said(r))
		}
	}
	in := s.inputs[0]
	if in.Event.Person != "p2" || in.Event.Text != "32.4" || in.Event.Ref != "ref:tg:1" || in.Trips != 1 {
		t.Errorf("event %+v, trips %d", in.Event, in.Trips)
	}
	if len(s.commits) != 1 || s.kicks != 1 {
		t.Errorf("%d commits, %d kicks; want one of each", len(s.commits), s.kicks)
	}
	c := s.commits[0]
	if !slices.Equal(c.Sources, []string{"tg:1"}) || c.Token == "" {
		t.Errorf("commit sources %q token %q", c.Sources, c.Token)
	}
	if want := noon.Add(20*time.Hour + 30*24*time.Hour); c.Expire.Before(want) || c.Expire.After(want.Add(24*time.Hour)) {
		t.Errorf("expires %v, want 30 days after the last dive (%v)", c.Expire, want)
	}
}

func TestEnvelopeSpeaksTheReadersLanguageAndUnits(t *testing.T) {
	s := newStage(t)
	s.handled(t, text("tg:1", "32.4"))
	e := s.out[0]
	got := []string{e.ID, string(e.Person), e.Address.ID, e.Language, e.Units}
	if want := []string{"aaaaaaaaaa:2:0", "p2", "200", "pl", "ft"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if s.handled(t, fromLeader("tg:2")); s.out[1].Units != "m" {
		t.Errorf("units of somebody who chose none: %q, want the trip's", s.out[1].Units)
	}
	if !e.Safety {
		t.Error("the letter's safety was lost")
	}
}

func TestConflictLoadsAndStepsAgain(t *testing.T) {
	s := newStage(t)
	raced := 0
	s.before = func(c *roster.Commit) error {
		if raced++; raced <= 3 {
			s.versions[tripA]++ // another process came first
		}
		return nil
	}
	s.handled(t, text("tg:1", "32.4"))
	if len(s.inputs) != 4 || len(s.commits) != 1 {
		t.Errorf("%d steps, %d commits; want 4 and 1", len(s.inputs), len(s.commits))
	}
}

func TestEndlessConflictIsAFault(t *testing.T) {
	s := newStage(t)
	s.before = func(*roster.Commit) error { return roster.ErrConflict }
	if _, err := s.door.Handle(t.Context(), text("tg:1", "32.4")); !errors.Is(err, delivery.ErrBusy) {
		t.Errorf("got %v, want ErrBusy", err)
	}
}

func TestDuplicateFoundAtTheCommitIsSuccess(t *testing.T) {
	s := newStage(t)
	s.before = func(c *roster.Commit) error { return roster.DuplicateError{Source: c.Sources[0]} }
	if r := s.handled(t, text("tg:1", "32.4")); r != nil {
		t.Errorf("reply %q, want none", said(r))
	}
}

func TestNothingIsAcknowledgedWhileTheStoreIsDown(t *testing.T) {
	inbound := map[string]delivery.Inbound{
		"text":   text("tg:1", "32.4"),
		"start":  text("tg:2", "/start "+invites.Code(tripA, "p3", 2)),
		"forget": {Kind: conversation.Button, Source: "tg:3", From: chat("200"), Trip: tripA, Do: "forget yes"},
		"page": {Kind: conversation.Text, Source: "web:1", From: delivery.WebAddress(tripA, "p2"), Trip: tripA,
			Person: "p2", Text: "32"},
		"lost":  {Kind: conversation.Lost, Source: "tg:4", From: chat("200")},
		"group": {Kind: conversation.Text, Source: "tg:5", From: chat("200"), Group: chat("-5"), Text: "/board"},
		"talk":  {Kind: conversation.Button, Source: "tg:6", From: chat("200"), Do: "talk aaaaaaaaaa"},
	}
	for name, in := range inbound {
		t.Run(name, func(t *testing.T) {
			s := newStage(t)
			s.down = errDown
			if r, err := s.door.Handle(t.Context(), in); !errors.Is(err, errDown) || r != nil {
				t.Errorf("got reply %v, error %v; want no reply and the store's fault", r, err)
			}
		})
	}
}

func TestCommitWhoseAnswerWasLostIsNotDoneTwice(t *testing.T) {
	s := newStage(t)
	s.lose = func(*roster.Commit) error { return errDown }
	if _, err := s.door.Handle(t.Context(), text("tg:1", "32.4")); !errors.Is(err, errDown) {
		t.Fatalf("got %v, want the fault: it is not known whether it was stored", err)
	}
	s.lose = nil
	s.handled(t, text("tg:1", "32.4")) // delivered again
	if len(s.commits) != 1 || len(s.out) != 1 {
		t.Errorf("%d commits, %d letters; want one of each", len(s.commits), len(s.out))
	}
}

// What was recorded stays so when it comes again after the trip has closed its
// door.
func TestWhatWasRecordedIsNotRefusedAfterwards(t *testing.T) {
	s := newStage(t)
	s.answer = func(in conversation.Input) conversation.Result {
		return changed(in, func(d *roster.Draft) {
			if in.Event.Kind == conversation.Forget {
				d.Erase(in.Event.Person, in.Now)
			}
		})
	}
	page := delivery.Inbound{Kind: conversation.Text, Source: "web:1", From: delivery.WebAddress(tripA, "p2"),
		Trip: tripA, Person: "p2", Text: "32"}
	s.handled(t, page)
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:1", From: chat("200"), Trip: tripA,
		Do: "forget yes"})
	if r := s.handled(t, page); r != nil {
		t.Errorf("told %q, want nothing: it was recorded", said(r))
	}
	page.Source = "web:2"
	if got := said(s.handled(t, page)); got != "door.forgotten" {
		t.Errorf("told %q of a new one, want door.forgotten", got)
	}
}

func TestStrangersAreAnswered(t *testing.T) {
	stranger := chat("999")
	for name, c := range map[string]struct {
		in   delivery.Inbound
		want string
	}{
		"text":       {delivery.Inbound{Kind: conversation.Text, From: stranger, Text: "hello"}, "door.unknown"},
		"bare start": {delivery.Inbound{Kind: conversation.Text, From: stranger, Text: "/start"}, "door.unknown"},
		"button": {delivery.Inbound{Kind: conversation.Button, From: stranger, Trip: tripA, Do: "undo r1"},
			"door.unknown"},
		"group": {delivery.Inbound{Kind: conversation.Text, From: stranger, Group: chat("-5"), Text: "/board"},
			"door.group-unknown"},
		"other's trip": {delivery.Inbound{Kind: conversation.Button, From: chat("200"), Trip: tripB, Do: "undo r1"},
			"door.not-yours"},
		"talk": {delivery.Inbound{Kind: conversation.Button, From: chat("200"), Do: "talk " + string(tripB)},
			"door.not-yours"},
		"no such page": {delivery.Inbound{Kind: conversation.Text, Trip: tripB, Person: "p1",
			From: delivery.WebAddress(tripB, "p1"), Text: "32"}, "door.trip-gone"},
		"removed": {delivery.Inbound{Kind: conversation.Text, Trip: tripA, Person: "p9",
			From: delivery.WebAddress(tripA, "p9"), Text: "32"}, "door.not-yours"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStage(t)
			c.in.Source = "tg:1"
			if got := said(s.handled(t, c.in)); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if len(s.commits) != 0 {
				t.Errorf("%d commits, want nothing stored", len(s.commits))
			}
		})
	}
}

func TestRouteWithoutTheTripsConsentOpensNothing(t *testing.T) {
	s := newStage(t)
	_ = s.Seat(t.Context(), chat("999"), roster.Seat{Trip: tripA, Person: "p2"}) // a crash before the commit of a join
	in := text("tg:1", "32.4")
	in.From = chat("999")
	if got := said(s.handled(t, in)); got != "door.unknown" || len(s.commits) != 0 {
		t.Errorf("got %q and %d commits, want door.unknown and none", got, len(s.commits))
	}
}

func TestPanicIsAcknowledgedAndSaid(t *testing.T) {
	s := newStage(t)
	s.answer = func(conversation.Input) conversation.Result { panic("a name that must not be logged") }
	if got := said(s.handled(t, text("tg:1", "boom"))); got != "door.fault" {
		t.Errorf("got %q, want door.fault", got)
	}
	s.answer = nil
	s.handled(t, text("tg:2", "32.4")) // the trip's lock is free again
	if len(s.commits) != 1 {
		t.Errorf("%d commits, want the second event's", len(s.commits))
	}
}

func TestSessionIsKeptAndRemoved(t *testing.T) {
	s := newStage(t)
	s.answer = func(in conversation.Input) conversation.Result {
		if in.Event.Text == "ask" {
			return conversation.Result{Session: conversation.Session{State: "which", Data: json.RawMessage(`{"a":1}`)}}
		}
		return conversation.Result{}
	}
	s.handled(t, text("tg:1", "ask"))
	s.handled(t, text("tg:2", "17"))
	if got := s.inputs[1].Session; got.State != "which" || string(got.Data) != `{"a":1}` {
		t.Errorf("second event saw session %+v", got)
	}
	if b, ok := s.commits[1].Sessions["p2"]; !ok || b != nil {
		t.Errorf("session after the answer: %s, want it removed", b)
	}
}

func TestEveryEventOfABusyTripIsKept(t *testing.T) {
	s := newStage(t)
	s.answer = func(in conversation.Input) conversation.Result {
		return changed(in, func(d *roster.Draft) { d.Edit("p2").Name += "x" })
	}
	var all sync.WaitGroup
	for i := range 50 {
		all.Go(func() {
			if _, err := s.door.Handle(t.Context(), text("tg:"+string(rune('A'+i)), "32.4")); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if got := strings.Count(s.trip(t, tripA).Person("p2").Name, "x"); got != 50 {
		t.Errorf("%d of 50 events are in the trip", got)
	}
}

func TestSomebodyUnreachableWhoWritesIsFoundFirst(t *testing.T) {
	trip := charter(tripA, noon.Add(20*time.Hour))
	trip.Edit("p2").Unreachable = "blocked"
	s := newStage(t, trip)
	s.answer = func(in conversation.Input) conversation.Result {
		if in.Event.Kind == conversation.Found {
			r := changed(in, func(d *roster.Draft) { d.Edit(in.Event.Person).Unreachable = "" })
			r.Letters = []conversation.Letter{letter("p1")}
			return r
		}
		return conversation.Result{Letters: []conversation.Letter{letter("p2")}}
	}
	s.handled(t, text("tg:1", "32.4"))
	if got, want := s.events(), []conversation.Kind{conversation.Found, conversation.Text}; !slices.Equal(got, want) {
		t.Errorf("events %v, want %v", got, want)
	}
	if got, want := s.addressed(), (map[roster.Address]int{chat("100"): 1, chat("200"): 1}); !cmp.Equal(got, want) {
		t.Errorf("letters to %v, want %v in one commit", got, want)
	}
	if len(s.commits) != 1 {
		t.Errorf("%d commits, want 1", len(s.commits))
	}
}

func TestPreferencesFollowThePerson(t *testing.T) {
	s := newStage(t)
	s.answer = func(conversation.Input) conversation.Result {
		return conversation.Result{PreferUnits: "ft", PreferLanguage: "pt"}
	}
	s.handled(t, text("tg:1", "/units ft"))
	if r := s.routes[chat("200")]; r.Units != "ft" || r.Language != "pt" {
		t.Errorf("kept %q and %q, want ft and pt", r.Units, r.Language)
	}
}

func fromLeader(source string) delivery.Inbound {
	in := text(source, "/board")
	in.From = chat("100")
	return in
}

func TestNotRecorded(t *testing.T) {
	if got := delivery.NotRecorded().Lines[0].Key; got != "door.not-recorded" {
		t.Errorf("got %q", got)
	}
}
