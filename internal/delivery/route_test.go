package delivery_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// two trips of the same people, B being the later one.
func twoTrips(t *testing.T) *stage {
	t.Helper()
	b := charter(tripB, noon.Add(44*time.Hour))
	b.EditPlan().Name = "Sunday drift"
	return newStage(t, b, charter(tripA, noon.Add(20*time.Hour)))
}

func (s *stage) lastTrip() roster.TripID { return s.inputs[len(s.inputs)-1].Trip.ID }

func TestNearestDepartureComesFirst(t *testing.T) {
	s := twoTrips(t)
	s.handled(t, text("tg:1", "32.4"))
	in := s.inputs[0]
	if in.Trip.ID != tripA || in.Trips != 2 {
		t.Errorf("went to %s of %d trips, want the nearest of two", in.Trip.ID, in.Trips)
	}
	want := []conversation.OtherTrip{{ID: tripB, Name: "Sunday drift", Departs: noon.Add(44 * time.Hour),
		Zone: "Atlantic/Azores"}}
	if !cmp.Equal(in.Others, want) {
		t.Errorf("others %+v, want %+v", in.Others, want)
	}
}

func TestOverTripGivesWay(t *testing.T) {
	s := newStage(t, charter(tripA, noon.Add(-60*time.Hour)), charter(tripB, noon.Add(44*time.Hour)))
	s.handled(t, text("tg:1", "32.4"))
	if got := s.lastTrip(); got != tripB {
		t.Errorf("went to %s, want the one that is not over", got)
	}
}

func TestTalkSwitchesAndShowsTheTrip(t *testing.T) {
	s := twoTrips(t)
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:1", From: chat("200"), Trip: tripA,
		Do: "talk " + string(tripB)})
	if e := s.inputs[0].Event; s.lastTrip() != tripB || e.Kind != conversation.Text || e.Text != "/trip" {
		t.Errorf("event %+v on %s, want /trip on the other trip", e, s.lastTrip())
	}
	s.handled(t, text("tg:2", "32.4"))
	if got := s.lastTrip(); got != tripB {
		t.Errorf("then text went to %s, want the chosen trip", got)
	}
}

func TestRedeliveryAndEditStayWithTheFirstChoice(t *testing.T) {
	s := twoTrips(t)
	s.handled(t, text("tg:1", "32.4"))
	_ = s.Prefer(t.Context(), chat("200"), tripB, "", "")
	s.handled(t, text("tg:1", "32.4")) // delivered again
	if len(s.commits) != 1 {
		t.Errorf("%d commits, want the repeated delivery to be recognised", len(s.commits))
	}
	edit := text("tg:9", "31.4")
	edit.Kind, edit.Ref = conversation.Edited, "ref:tg:1"
	s.handled(t, edit)
	if got := s.lastTrip(); got != tripA {
		t.Errorf("the edit went to %s, want the trip of the message", got)
	}
}

func TestEditOfAReadingFromBeforeTheSecondTrip(t *testing.T) {
	a := charter(tripA, noon.Add(20*time.Hour))
	a.Edit("p2").Cylinders = []*roster.Cylinder{{ID: "c9", Dive: 1,
		Readings: []*roster.Reading{{ID: "r9", By: "p2", Ref: "ref:tg:1", Percent: gas.Percent(32.4), At: noon}}}}
	s := newStage(t, a, charter(tripB, noon.Add(44*time.Hour)))
	_ = s.Prefer(t.Context(), chat("200"), tripB, "", "")
	edit := text("tg:9", "31.4")
	edit.Kind, edit.Ref = conversation.Edited, "ref:tg:1"
	s.handled(t, edit)
	if got := s.lastTrip(); got != tripA {
		t.Errorf("the edit went to %s, want the trip that holds the reading", got)
	}
}

func TestButtonGoesToItsOwnTrip(t *testing.T) {
	s := twoTrips(t)
	s.handled(t, delivery.Inbound{Kind: conversation.Button, Source: "tg:1", From: chat("200"), Trip: tripB,
		Do: "undo r1"})
	if got := s.lastTrip(); got != tripB {
		t.Errorf("went to %s, want the button's trip", got)
	}
}

func TestForgetErasesEverywhere(t *testing.T) {
	s := twoTrips(t)
	s.answer = func(in conversation.Input) conversation.Result {
		return changed(in, func(d *roster.Draft) {
			if in.Event.Kind == conversation.Forget {
				d.Erase(in.Event.Person, in.Now)
			}
		})
	}
	in := delivery.Inbound{Kind: conversation.Button, Source: "tg:1", From: chat("200"), Trip: tripA, Do: "forget yes"}
	// The first delivery breaks down half-way.
	s.before = func(c *roster.Commit) error {
		if c.Trip.ID == tripA {
			return errDown
		}
		return nil
	}
	if _, err := s.door.Handle(t.Context(), in); !errors.Is(err, errDown) {
		t.Fatalf("got %v, want the fault", err)
	}
	s.before = nil
	if got := said(s.handled(t, in)); got != "door.forgotten" {
		t.Errorf("reply %q, want door.forgotten", got)
	}
	for _, id := range []roster.TripID{tripA, tripB} {
		if p := s.trip(t, id).Person("p2"); !p.Erased || len(p.Addresses) != 0 {
			t.Errorf("trip %s still has %+v", id, p)
		}
	}
	if got := s.linked(chat("200")); len(got) != 0 {
		t.Errorf("still linked to %v", got)
	}
	slices.Sort(s.erased)
	if want := []string{"aaaaaaaaaa/p2", "bbbbbbbbbb/p2"}; !slices.Equal(slices.Compact(s.erased), want) {
		t.Errorf("pages erased: %v, want %v", s.erased, want)
	}
	if got := said(s.handled(t, text("tg:2", "hello?"))); got != "door.unknown" {
		t.Errorf("afterwards: %q, want a stranger's answer", got)
	}
}

func TestMovedDepartureReachesTheRoutes(t *testing.T) {
	s := newStage(t)
	later := noon.Add(26 * time.Hour)
	s.answer = func(in conversation.Input) conversation.Result {
		return changed(in, func(d *roster.Draft) {
			if in.Event.Change != nil && in.Event.Change.Departs != nil {
				d.EditPlan().Departs = *in.Event.Change.Departs
			}
		})
	}
	_, err := s.door.Apply(t.Context(), tripA, "", func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Departs: &later}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := s.routes[chat("200")].Trips[0].Departs; !got.Equal(later) {
		t.Errorf("the route says %v, want %v", got, later)
	}
}

// A number goes to the only trip that it can be meant for; where several could
// be, the step is told to ask.
func TestNumberGoesToTheTripItIsFor(t *testing.T) {
	for _, c := range []struct {
		name           string
		aLabel, bLabel string
		bIn            time.Duration // departure of the later trip
		text           string
		chosen         roster.TripID
		want           roster.TripID
		anyTrip        bool
	}{
		{"a label of the later trip", "17", "22", 44 * time.Hour, "22 31.9", "", tripB, false},
		{"a label of the nearest trip", "17", "22", 44 * time.Hour, "17 31.9", tripB, tripA, false},
		{"only one is due", "17", "22", 44 * time.Hour, "31.9", "", tripA, false},
		{"only one is due, the other was chosen", "17", "22", 44 * time.Hour, "31.9", tripB, tripA, false},
		{"both are due", "17", "22", 22 * time.Hour, "31.9", "", tripA, true},
		{"both are due and one was chosen", "17", "22", 22 * time.Hour, "31.9", tripB, tripB, false},
		{"the label of both", "17", "17", 44 * time.Hour, "17 31.9", "", tripA, true},
		{"the label of both, on one day", "17", "17", 22 * time.Hour, "17 31.9", "", tripA, true},
		{"the label of both, and one was chosen", "17", "17", 22 * time.Hour, "17 31.9", tripB, tripB, false},
		{"no number", "17", "22", 22 * time.Hour, "hello", "", tripA, false},
		{"a command", "17", "22", 22 * time.Hour, "/gas", tripB, tripB, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, b := charter(tripA, noon.Add(20*time.Hour)), charter(tripB, noon.Add(c.bIn))
			a.Edit("p2").Cylinders = []*roster.Cylinder{{ID: "c8", Label: c.aLabel, Asked: 32, Dive: 1}}
			b.Edit("p2").Cylinders = []*roster.Cylinder{{ID: "c9", Label: c.bLabel, Asked: 32, Dive: 1}}
			s := newStage(t, b, a)
			if c.chosen != "" {
				_ = s.Prefer(t.Context(), chat("200"), c.chosen, "", "")
			}
			s.handled(t, text("tg:1", c.text))
			if got := s.lastTrip(); got != c.want {
				t.Errorf("went to %s, want %s", got, c.want)
			}
			in := s.inputs[len(s.inputs)-1]
			if got := in.Event.AnyTrip; got != c.anyTrip {
				t.Errorf("to be asked %v, want %v", got, c.anyTrip)
			}
			if other := map[roster.TripID]roster.TripID{tripA: tripB, tripB: tripA}[c.want]; len(in.Others) != 1 ||
				in.Others[0].ID != other {
				t.Errorf("offers %+v, want %s beside the one that it went to", in.Others, other)
			}
		})
	}
}
