package delivery_test

import (
	"encoding/json"
	"fmt"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// aboard is a stage with trip A (and B when asked for) on which chat 300 has
// joined as p3, by its invites.
func aboard(t *testing.T, ids ...roster.TripID) *stage {
	t.Helper()
	s := newStage(t, charter(tripA, noon.Add(20*time.Hour)), charter(tripB, noon.Add(44*time.Hour)))
	s.answer = joins
	for _, id := range ids {
		s.handled(t, start("tg:join:"+string(id), "300", invites.Code(id, "p3", 2)))
	}
	s.inputs, s.given, s.loads, s.routed = nil, nil, 0, 0
	return s
}

// p3 writes from chat 300.
func p3(source, words string) delivery.Inbound {
	in := text(source, words)
	in.From = chat("300")
	return in
}

// another process on the same store.
func (s *stage) process() *delivery.Door {
	return delivery.NewDoor(delivery.DoorConfig{Store: s.memory, Addresses: s.memory, Pages: s.memory, Invites: invites,
		Keep: 30 * 24 * time.Hour, Now: func() time.Time { return noon }, Step: s.step, Go: afresh})
}

func TestWhoIsOnOneTripIsNotLookedUp(t *testing.T) {
	s := aboard(t, tripA)
	for i := range 3 {
		s.handled(t, p3(fmt.Sprint("tg:", i), "32.4"))
	}
	if s.loads != 0 || s.routed != 0 {
		t.Errorf("%d loads, %d look-ups; want the commits alone", s.loads, s.routed)
	}
	if in := s.inputs[2]; in.Event.Person != "p3" || in.Trip.ID != tripA || in.Trips != 1 {
		t.Errorf("event of %q on %s of %d trips", in.Event.Person, in.Trip.ID, in.Trips)
	}
}

func TestWhatIsKeptIsWhatIsStored(t *testing.T) {
	s := aboard(t, tripA)
	s.answer = func(in conversation.Input) conversation.Result {
		r := changed(in, func(d *roster.Draft) { d.EditPlan().Name += "!" })
		data, _ := json.Marshal(r.Trip.Name)
		r.Session = conversation.Session{State: "counting", Data: data}
		return r
	}
	for i := range 4 {
		s.handled(t, p3(fmt.Sprint("tg:", i), "x"))
	}
	if got := s.trip(t, tripA).Name; got != "Saturday two-tank!!!!" {
		t.Errorf("stored name %q", got)
	}
	if got := string(s.inputs[3].Session.Data); got != `"Saturday two-tank!!!"` {
		t.Errorf("session %s, want that of the event before", got)
	}
}

// What another process stored meanwhile wins over what is kept.
func TestKeptTripThatIsOutOfDate(t *testing.T) {
	s := aboard(t, tripA)
	s.handled(t, p3("tg:1", "x"))
	other := s.process()
	name := "Renamed"
	s.answer = func(in conversation.Input) conversation.Result {
		return changed(in, func(d *roster.Draft) {
			if c := in.Event.Change; c != nil && c.Name != nil {
				d.EditPlan().Name = *c.Name
			}
		})
	}
	_, err := other.Apply(t.Context(), tripA, "", func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Name: &name}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	s.handled(t, p3("tg:2", "x"))
	in := s.inputs[len(s.inputs)-1]
	if in.Trip.Name != "Renamed" || s.trip(t, tripA).Name != "Renamed" {
		t.Errorf("stepped on %q, stored %q", in.Trip.Name, s.trip(t, tripA).Name)
	}
}

// An event that failed leaves nothing of its step behind.
func TestStepThatWasNotCommittedLeavesNothing(t *testing.T) {
	s := aboard(t, tripA)
	s.answer = func(in conversation.Input) conversation.Result {
		return changed(in, func(d *roster.Draft) { d.EditPlan().Name += "!" })
	}
	s.handled(t, p3("tg:1", "x"))
	s.before = func(*roster.Commit) error { return errDown }
	if _, err := s.door.Handle(t.Context(), p3("tg:2", "x")); err == nil {
		t.Fatal("a store that is down was not noticed")
	}
	s.before = nil
	s.handled(t, p3("tg:2", "x"))
	s.handled(t, p3("tg:2", "x")) // a duplicate steps in vain
	s.handled(t, p3("tg:3", "x"))
	if got := s.trip(t, tripA).Name; got != "Saturday two-tank!!!" {
		t.Errorf("stored name %q, want one mark for each event", got)
	}
}

// A refusal is judged by what is stored, not by what is kept.
func TestKeptTripRefusesNobody(t *testing.T) {
	s := aboard(t)
	s.handled(t, text("tg:1", "x")) // trip A is kept from now on, without p3
	other := s.process()
	if _, err := other.Handle(t.Context(), start("tg:2", "300", invites.Code(tripA, "p3", 2))); err != nil {
		t.Fatal(err)
	}
	if r := s.handled(t, p3("tg:3", "32.4")); r != nil {
		t.Errorf("refused with %q; p3 has joined", said(r))
	}
}

// Who joins a second trip, whatever the process, is asked for neither: text
// goes on to the nearest departure, and B's process knows of A.
func TestSecondTripIsNoticedEverywhere(t *testing.T) {
	s := aboard(t, tripB)
	s.handled(t, p3("tg:1", "x"))
	if got := s.lastTrip(); got != tripB {
		t.Fatalf("went to %s, want the only trip", got)
	}
	other := s.process()
	if _, err := other.Handle(t.Context(), start("tg:2", "300", invites.Code(tripA, "p3", 2))); err != nil {
		t.Fatal(err)
	}
	s.handled(t, p3("tg:3", "x"))
	if in := s.inputs[len(s.inputs)-1]; in.Trip.ID != tripA || in.Trips != 2 {
		t.Errorf("went to %s of %d trips, want the nearest departure of two", in.Trip.ID, in.Trips)
	}
	for _, id := range []roster.TripID{tripA, tripB} {
		if s.trip(t, id).Person("p3").OnlyTrip {
			t.Errorf("trip %s takes itself for the only one", id)
		}
	}
}

// What was taken while a trip was the only one stays its own when it comes
// again after a second trip was joined.
func TestRedeliveryAcrossASecondJoin(t *testing.T) {
	s := aboard(t, tripB)
	s.handled(t, p3("tg:1", "32.4"))
	s.handled(t, start("tg:2", "300", invites.Code(tripA, "p3", 2)))
	commits := len(s.commits)
	s.handled(t, p3("tg:1", "32.4"))
	if len(s.commits) != commits {
		t.Errorf("taken a second time, by %s", s.commits[len(s.commits)-1].Trip.ID)
	}
}

// Two joins at the same moment in two processes, in every order that the store
// can see: neither trip may take itself for the only one.
func TestTwoJoinsAtOnce(t *testing.T) {
	for range 200 {
		s := aboard(t)
		doors := []*delivery.Door{s.process(), s.process()}
		var joined sync.WaitGroup
		for i, id := range []roster.TripID{tripA, tripB} {
			joined.Go(func() {
				if _, err := doors[i].Handle(t.Context(), start("tg:"+string(id), "300", invites.Code(id, "p3", 2))); err != nil {
					t.Errorf("join %s: %v", id, err)
				}
			})
		}
		joined.Wait()
		for _, id := range []roster.TripID{tripA, tripB} {
			if p := s.trip(t, id).Person("p3"); p.OnlyTrip || len(p.Addresses) != 1 {
				t.Fatalf("trip %s: only %v, addresses %v", id, p.OnlyTrip, p.Addresses)
			}
		}
	}
}

// A trip that is over no longer answers for its people alone.
func TestOnlyTripThatIsOverIsLookedUp(t *testing.T) {
	now := noon
	s := aboard(t, tripA)
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.memory, Addresses: s.memory, Invites: invites,
		Now: func() time.Time { return now }, Step: s.step})
	s.handled(t, p3("tg:1", "x"))
	s.handled(t, p3("tg:2", "x"))
	before := s.routed
	now = noon.Add(7 * 24 * time.Hour)
	s.handled(t, p3("tg:3", "x"))
	if s.routed == before {
		t.Error("not looked up")
	}
}
