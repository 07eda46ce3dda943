package delivery_test

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// traces are what others keep, by hand.
type traces struct {
	m      *memory
	missed []int // what each call answers; 0 when it runs out
	said   []string
	fail   error
}

func (r *traces) Redact(_ context.Context, shop roster.ShopID, trip roster.TripID, how roster.Rewrite) (int, error) {
	r.m.order = append(r.m.order, "redact")
	r.said = append(r.said, string(shop)+" "+string(trip)+" "+string(how.Person)+" "+how.Text("Tomasz is late"))
	n := 0
	if len(r.missed) > 0 {
		n, r.missed = r.missed[0], r.missed[1:]
	}
	return n, r.fail
}

func (r *traces) EraseTrip(context.Context, roster.ShopID, roster.TripID) error { return r.fail }

func forgetting(t *testing.T) (*stage, *traces) {
	t.Helper()
	s := newStage(t)
	r := &traces{m: s.memory}
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.memory, Addresses: s.memory, Pages: s.memory, Traces: r,
		Invites: invites,
		Now:     func() time.Time { return noon }, Step: conversation.Step,
		Wait: func(context.Context, int) error { return nil }})
	return s, r
}

func (s *stage) forget(t *testing.T, source string) string {
	t.Helper()
	return said(s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: source, Do: "forget yes", Trip: tripA,
		From: chat("200"), At: noon}))
}

// What others keep is rewritten before the trip forgets the name, so that a
// crash in between loses nothing, and after it until nothing is missed.
func TestForgetRewritesWhatOthersKeep(t *testing.T) {
	s, r := forgetting(t)
	r.missed = []int{5, 2, 1}
	if got := s.forget(t, "tg:1"); got != "door.forgotten" {
		t.Errorf("told %q", got)
	}
	steps := slices.DeleteFunc(slices.Clone(s.order),
		func(o string) bool { return o != "redact" && o != "commit" && o != "forget" })
	if want := []string{"redact", "commit", "redact", "redact", "redact", "forget"}; !slices.Equal(steps, want) {
		t.Errorf("%v, want %v", steps, want)
	}
	for _, said := range r.said {
		if said != " "+string(tripA)+" p2 erased is late" {
			t.Errorf("rewrote with %q", said)
		}
	}
	if p := s.trip(t, tripA).Person("p2"); !p.Erased || p.Name != roster.ErasedName ||
		!slices.Contains(s.erased, "aaaaaaaaaa/p2") {
		t.Errorf("%+v, pages erased %v", p, s.erased)
	}
}

// When what others keep can't be rewritten, the trip does not forget the name:
// the event comes again and does all of it.
func TestForgetIsTriedAgain(t *testing.T) {
	s, r := forgetting(t)
	r.fail = errDown
	in := delivery.Inbound{Kind: conversation.Button, Source: "tg:1", Do: "forget yes", Trip: tripA, From: chat("200"),
		At: noon}
	if _, err := s.door.Handle(t.Context(), in); err == nil {
		t.Fatal("acknowledged")
	}
	if p := s.trip(t, tripA).Person("p2"); p.Erased {
		t.Error("the trip has forgotten the name, and others keep it")
	}
	r.fail = nil
	if got := s.forget(t, "tg:1"); got != "door.forgotten" {
		t.Errorf("told %q", got)
	}
}

// The leaders' phones say who has left, their pages, which stay, don't.
func TestForgetNamesNobodyOnPages(t *testing.T) {
	trip := charter(tripA, noon.Add(20*time.Hour))
	page := delivery.WebAddress(tripA, "p1")
	leader := trip.Edit("p1")
	leader.Addresses = append(leader.Addresses, page)
	trip.Edit("p2").Cylinders = []*roster.Cylinder{{ID: "c5", Asked: 32, Dive: 1}}
	trip.ID = tripB
	s, _ := forgetting(t)
	if _, err := s.door.Create(t.Context(), trip); err != nil {
		t.Fatal(err)
	}
	_ = s.Seat(t.Context(), chat("200"), roster.Seat{Trip: tripB, Person: "p2", Departs: trip.Departs})
	s.out = nil
	s.forget(t, "tg:1")
	phones, pages := 0, 0
	for _, e := range s.out {
		var m message.Message
		if err := json.Unmarshal(e.Payload, &m); err != nil || e.Trip != tripB || m.Lines[0].Key != "diver.to-leader.forgot" {
			continue
		}
		named := strings.Contains(string(e.Payload), "Tomasz")
		if e.Address.Channel == delivery.Web {
			pages++
		} else {
			phones++
		}
		if named == (e.Address.Channel == delivery.Web) {
			t.Errorf("to %v: %s", e.Address, e.Payload)
		}
	}
	if phones != 1 || pages != 1 {
		t.Errorf("%d letters to phones and %d to pages, want one each: %v", phones, pages, s.out)
	}
}

// Somebody who tried another's invite is on no trip and could not ask to be
// forgotten: nothing that is remembered names the account.
func TestWhoTriedAnInviteIsNotRemembered(t *testing.T) {
	s := newStage(t)
	code := invites.Code(tripA, "p2", 1) // Tomasz has used it
	in := text("tg:1", "/start "+code)
	in.From = chat("987654321")
	if got := said(s.handled(t, in)); got != "door.invite-used" {
		t.Fatalf("told %q", got)
	}
	if len(s.commits) != 1 {
		t.Fatalf("%d commits: the leader hears of it", len(s.commits))
	}
	if raw, err := json.Marshal(s.commits[0]); err != nil || strings.Contains(string(raw), "987654321") {
		t.Errorf("it is remembered: %s, %v", raw, err)
	}
}

// Dialogue states are rewritten in the store: nobody goes on with what this
// process kept of them.
func TestForgetLeavesNoDialogueInMemory(t *testing.T) {
	s, r := forgetting(t)
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.memory, Addresses: s.memory, Pages: s.memory, Traces: r,
		Invites: invites,
		Now:     func() time.Time { return noon }, Step: s.step, Wait: func(context.Context, int) error { return nil }})
	leader := func(source string) {
		in := text(source, "x")
		in.From = chat("100")
		s.handled(t, in)
	}
	s.answer = func(in conversation.Input) conversation.Result {
		if in.Event.Source == "tg:1" {
			return conversation.Result{Session: conversation.Session{State: "why", Data: []byte(`"Tomasz"`)}}
		}
		return conversation.Result{Session: in.Session}
	}
	leader("tg:1")
	s.forget(t, "tg:2")
	s.sessions[tripA]["p1"] = []byte(`{"state":"why","data":"erased"}`) // as the traces do
	leader("tg:3")
	if got := string(s.inputs[len(s.inputs)-1].Session.Data); got != `"erased"` {
		t.Errorf("the leader's dialogue goes on with %s", got)
	}
}
