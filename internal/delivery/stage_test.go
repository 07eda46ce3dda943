package delivery_test

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// noon is now in these tests, the day before the trips.
var noon = time.Date(2027, 5, 14, 12, 0, 0, 0, time.UTC)

const (
	tripA roster.TripID = "aaaaaaaaaa"
	tripB roster.TripID = "bbbbbbbbbb"
)

// charter is a draft of a trip with a leader and a diver who both have joined by
// Telegram chat, and a diver who has not joined.
func charter(id roster.TripID, departs time.Time) *roster.Draft {
	d := roster.Change(roster.NewTrip(id, ""))
	*d.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: departs,
		Units: gas.Metres, Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 22, Water: gas.Salt}}}
	d.People = []*roster.Person{
		{ID: "p1", Name: "Inês", Leader: true, Generation: 1, Joined: noon, Addresses: []roster.Address{chat("100")}},
		{ID: "p2", Name: "Tomasz", Generation: 1, Joined: noon, Units: "ft", Language: "pl",
			Addresses: []roster.Address{chat("200")}},
		{ID: "p3", Name: "Marit", Generation: 2},
	}
	return d
}

func chat(id string) roster.Address { return roster.Address{Channel: "telegram", ID: id} }

// stage is a door on a memory with trip A, whose step is a recorder: it
// remembers every event and answers the acting person with one line.
type stage struct {
	*memory
	door   *delivery.Door
	mu     sync.Mutex
	inputs []conversation.Input
	given  [][]byte // the trips of the inputs, as they were
	kicks  int
	// answer is what a step comes to, by default one letter to who acts; without a
	// trip it changed nothing.
	answer func(conversation.Input) conversation.Result
}

var invites = delivery.NewInvites("a secret for the tests")

func newStage(t *testing.T, trips ...*roster.Draft) *stage {
	t.Helper()
	s := &stage{memory: newMemory()}
	t.Cleanup(func() { s.nothingWasWrittenTo(t) })
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.memory, Addresses: s.memory, Pages: s.memory, Invites: invites,
		Keep: 30 * 24 * time.Hour, Evening: "0 18 * * *", Quiet: "22:00-06:00",
		Now: func() time.Time { return noon }, Kick: func() { s.kicks++ }, Step: s.step,
		Wait: func(context.Context, int) error { return nil }, Go: afresh})
	if len(trips) == 0 {
		trips = []*roster.Draft{charter(tripA, noon.Add(20*time.Hour))}
	}
	for _, draft := range trips {
		trip, err := s.door.Create(t.Context(), draft)
		if err != nil {
			t.Fatalf("create: %v", err)
		}
		for _, p := range trip.People {
			for _, a := range p.Addresses {
				_ = s.Seat(t.Context(), a, roster.Seat{Trip: trip.ID, Person: p.ID, Departs: trip.Departs})
			}
		}
	}
	s.out, s.commits, s.order, s.inputs, s.given, s.kicks = nil, nil, nil, nil, nil, 0
	return s
}

// nothingWasWrittenTo holds every trip that a step was given, and every one that
// was changed, against what it was.
func (s *stage) nothingWasWrittenTo(t *testing.T) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, in := range s.inputs[:min(len(s.inputs), len(s.given))] {
		if string(kept(in.Trip)) != string(s.given[i]) {
			t.Errorf("the trip that step %d was given (%s %q) was written to", i, in.Event.Kind, in.Event.Text)
		}
	}
	for _, v := range s.spoilt {
		t.Errorf("written to: %s", v)
	}
}

func (s *stage) step(in conversation.Input) conversation.Result {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.inputs, s.given = append(s.inputs, in), append(s.given, kept(in.Trip))
	var r conversation.Result
	switch {
	case s.answer != nil:
		r = s.answer(in)
	case in.Event.Person == "":
		r.Session = in.Session
	default:
		r.Session, r.Letters = in.Session, []conversation.Letter{letter(in.Event.Person)}
	}
	if r.Trip == nil {
		r.Trip = in.Trip
	}
	return r
}

// changed is the result of a change of the trip.
func changed(in conversation.Input, change func(*roster.Draft)) conversation.Result {
	d := roster.Change(in.Trip)
	change(d)
	return conversation.Result{Trip: d.Done(), Acts: d.Acts}
}

func letter(p roster.PersonID) conversation.Letter {
	return conversation.Letter{Person: p, Safety: true,
		Message: message.Message{Lines: []message.Line{message.Say("test", nil)}}}
}

// text is what the diver p2 typed in the private chat.
func text(source, words string) delivery.Inbound {
	return delivery.Inbound{Kind: conversation.Text, Source: source, Ref: "ref:" + source, From: chat("200"), Text: words,
		At: noon}
}

// handled sends in through the door and wants no fault.
func (s *stage) handled(t *testing.T, in delivery.Inbound) *delivery.Reply {
	t.Helper()
	reply, err := s.door.Handle(t.Context(), in)
	if err != nil {
		t.Fatalf("handle %s %q: %v", in.Kind, in.Text, err)
	}
	return reply
}

// said is the key of a reply, "" for none.
func said(r *delivery.Reply) string {
	if r == nil {
		return ""
	}
	return r.Message.Lines[0].Key
}

func (s *stage) events() []conversation.Kind {
	var kinds []conversation.Kind
	for _, in := range s.inputs {
		kinds = append(kinds, in.Event.Kind)
	}
	return kinds
}

func (s *stage) addressed() map[roster.Address]int {
	n := map[roster.Address]int{}
	for _, e := range s.out {
		n[e.Address]++
	}
	return n
}

func (s *stage) linked(a roster.Address) []roster.TripID {
	var ids []roster.TripID
	for _, seat := range s.routes[a].Trips {
		ids = append(ids, seat.Trip)
	}
	return slices.Sorted(slices.Values(ids))
}

var errDown = errors.New("store is down")

// afresh runs a trip's owner on a goroutine of its own: none stays behind for a
// next trip, which testing/synctest would take for a deadlock.
func afresh(owner func()) { go owner() }
