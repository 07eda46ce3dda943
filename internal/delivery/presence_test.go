package delivery_test

import (
	"slices"
	"testing"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// presence makes the step do what being lost and found does to the trip.
func presence(in conversation.Input) conversation.Result {
	r := changed(in, func(d *roster.Draft) {
		switch in.Event.Kind {
		case conversation.Lost:
			d.Edit(in.Event.Person).Unreachable = in.Event.Reason
		case conversation.Found:
			d.Edit(in.Event.Person).Unreachable = ""
		case conversation.Moved, conversation.GroupText: // "/link"
			d.EditCourse().GroupChat = in.Event.Address
		}
	})
	if in.Event.Kind == conversation.GroupText {
		r.Letters = []conversation.Letter{{Group: true}}
	}
	return r
}

func TestLostIsOnePieceOfNewsOnEveryTrip(t *testing.T) {
	s := twoTrips(t)
	s.answer = presence
	for _, source := range []string{"lost:e1", "lost:e2", "lost:e3"} {
		s.handled(t, delivery.Inbound{Kind: conversation.Lost, Source: source, From: chat("200"), Reason: "blocked"})
	}
	if len(s.commits) != 2 {
		t.Errorf("%d commits, want one for each trip", len(s.commits))
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Found, Source: "tg:9", From: chat("200")})
	for _, id := range []roster.TripID{tripA, tripB} {
		if got := s.trip(t, id).Person("p2").Unreachable; got != "" {
			t.Errorf("trip %s: still %q", id, got)
		}
	}
}

func TestLostStrangerIsNothing(t *testing.T) {
	s := newStage(t)
	if r := s.handled(t, delivery.Inbound{Kind: conversation.Lost, Source: "tg:1", From: chat("999")}); r != nil ||
		len(s.commits) != 0 {
		t.Errorf("reply %v, %d commits; want neither", r, len(s.commits))
	}
}

func link(t *testing.T, s *stage, group string) {
	t.Helper()
	s.handled(t, delivery.Inbound{Kind: conversation.Text, Source: "tg:link" + group, From: chat("100"),
		Group: chat(group), Text: "/link"})
}

func TestGroupIsLinkedMovedAndLost(t *testing.T) {
	s := newStage(t)
	s.answer = presence
	link(t, s, "-5")
	if got := s.out; len(got) != 1 || got[0].Address != chat("-5") || got[0].Person != "" {
		t.Errorf("answer %+v, want one in the group", got)
	}
	if got := s.linked(chat("-5")); !slices.Equal(got, []roster.TripID{tripA}) {
		t.Fatalf("group is linked to %v", got)
	}
	for range 2 { // told in the old chat and in the new one
		s.handled(t, delivery.Inbound{Kind: conversation.Moved, Source: "tg:7", From: chat("-5"), Group: chat("-1005")})
	}
	if got := s.trip(t, tripA).GroupChat; got != chat("-1005") {
		t.Errorf("the trip's group is %v, want the new id", got)
	}
	if got := s.linked(chat("-1005")); !slices.Equal(got, []roster.TripID{tripA}) || len(s.linked(chat("-5"))) != 0 {
		t.Errorf("routes: new %v, old %v", got, s.linked(chat("-5")))
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Found, Source: "tg:8", From: chat("-1005")})
	if got := s.trip(t, tripA).GroupChat; got != chat("-1005") {
		t.Errorf("being let in again unlinked the group: %v", got)
	}
	s.handled(t, delivery.Inbound{Kind: conversation.Lost, Source: "tg:9", From: chat("-1005"), Reason: "removed"})
	if got := s.trip(t, tripA).GroupChat; got != (roster.Address{}) || len(s.linked(chat("-1005"))) != 0 {
		t.Errorf("a lost group is still linked: %v", got)
	}
}

func TestGroupTextGoesToTheTripThatIsMeant(t *testing.T) {
	b := twoTrips(t)
	lead := roster.Change(b.trip(t, tripB))
	lead.Edit("p2").Leader = true // Tomasz leads on Sunday only
	lead.EditCourse().GroupChat = chat("-9")
	lead.Version, lead.Stored = 0, roster.Stored{}
	s := newStage(t, charter(tripA, noon.Add(20e9*3600)), lead)
	for name, c := range map[string]struct {
		from, group, text string
		want              roster.TripID
	}{
		"the linked trip":      {"200", "-9", "/board", tripB},
		"else the nearest":     {"200", "-5", "/board", tripA},
		"for link, one's lead": {"200", "-5", "/link", tripB},
	} {
		t.Run(name, func(t *testing.T) {
			s.handled(t, delivery.Inbound{Kind: conversation.Text, Source: "tg:" + name, From: chat(c.from),
				Group: chat(c.group), Text: c.text})
			e := s.inputs[len(s.inputs)-1].Event
			if s.lastTrip() != c.want || e.Kind != conversation.GroupText || e.Address != chat(c.group) {
				t.Errorf("%+v on %s, want a group text on %s", e, s.lastTrip(), c.want)
			}
		})
	}
}

func TestButtonInAGroup(t *testing.T) {
	s := newStage(t)
	in := delivery.Inbound{Kind: conversation.Button, Source: "tg:1", From: chat("200"), Group: chat("-5"), Trip: tripA,
		Do: "board"}
	s.handled(t, in)
	if e := s.inputs[0].Event; e.Kind != conversation.Button || e.Person != "p2" {
		t.Errorf("event %+v", e)
	}
	if got := s.out; len(got) != 1 || got[0].Address != chat("200") {
		t.Errorf("answer %+v, want it in private", got)
	}
	in.Source, in.Trip = "tg:2", tripB
	if got := said(s.handled(t, in)); got != "door.not-yours" {
		t.Errorf("a button of another trip: %q", got)
	}
}
