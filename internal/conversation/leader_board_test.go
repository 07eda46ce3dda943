package conversation

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// bigTrip is a full boat: n divers, most of them analysed and fine; every
// tenth has not analysed, every fifteenth has too rich a gas.
func bigTrip(n int) *roster.Trip {
	trip := roster.Change(withoutDivers(leaderTrip()))
	for i := 1; i <= n; i++ {
		p := &roster.Person{Name: fmt.Sprintf("Diver %02d", i), Card: gas.CardSeen,
			Cylinders: []*roster.Cylinder{{Label: fmt.Sprint(100 + i), Asked: 32, Dive: 1},
				{Label: fmt.Sprint(200 + i), Asked: 36, Dive: 2}}}
		trip.AddPerson(p, "", leaderNow)
		trip.Join(p.ID, roster.Address{Channel: "test", ID: string(p.ID)}, "en", leaderNow)
		for k, c := range p.Cylinders {
			percent := gas.Percent(31.6)
			if k == 1 {
				percent = 35.7
			}
			switch {
			case i%10 == 0 && k == 0:
				continue
			case i%15 == 1 && k == 0:
				percent = 36.4
			}
			at := leaderNow.Add(time.Duration(i) * time.Minute)
			trip.Record(c.ID, roster.Reading{Percent: percent, At: at, By: p.ID, Ref: fmt.Sprint(i), Analyser: "A"}, at)
		}
	}
	return trip.Done()
}

// withoutDivers leaves the leader alone on the trip.
func withoutDivers(trip *roster.Trip) *roster.Trip {
	alone := *trip
	alone.People = trip.People[:1]
	return &alone
}

// A long roster stays readable: the verdict and the counts on top, then those
// who need something, then the go's, one short line each.
func TestBoardOfManyDivers(t *testing.T) {
	d := newDesk(t)
	d.trip = bigTrip(45)
	d.now = leaderNow.Add(50 * time.Minute)
	text := d.types("/board")
	lines := strings.Split(text, "\n")
	if !strings.HasPrefix(lines[0], "⛔ NO-GO · dive 1 · 3 divers") {
		t.Errorf("the board begins with %q, want the no-go of 3 divers", lines[0])
	}
	order := []string{"38 go, 3 no-go and 4 not cleared",
		"⛔ STOP, NO-GO · Diver 01", "❓ ANALYSE FIRST · Diver 10", "✅ GO · Diver 02, Diver 03", "Diver 45"}
	at := 0
	for _, want := range order {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("%q is missing, or not in its place:\n%s", want, text)
		}
		at += i
	}
	if n := strings.Count(text, "✅ GO"); n != 1 {
		t.Errorf("the go is said %d times, want once for all", n)
	}
	if n := len(lines); n > 20 {
		t.Errorf("the board of 45 divers has %d lines", n)
	}
}

// A board without anybody to dive is never a go.
func TestBoardOfNobody(t *testing.T) {
	d := newDesk(t)
	d.trip = withoutDivers(d.trip)
	if got := d.types("/board"); !strings.HasPrefix(got, "❓ NOT CLEARED") {
		t.Errorf("got %q, want no reading", got)
	}
	if got := d.types("/signoff"); !strings.Contains(got, "can't be signed") {
		t.Errorf("got %q, want a refusal", got)
	}
}

// Whatever a rule finds, a leader is told what can be done about it.
func TestEveryFindingTellsLeadersWhatToDo(t *testing.T) {
	for _, o := range gas.Outcomes() {
		if o.Do == "" {
			continue
		}
		f := gas.Finding{Rule: o.Rule, Case: o.Case, Do: o.Do, Mix: 31, MaxDepth: gas.M(30), MaxMinutes: 20}
		if _, do := message.FindingForLeader(f); strings.Contains(renderer.Line(do, message.Reader{}), "⟦") {
			t.Errorf("%s %s: leaders have no text for %q", o.Rule, o.Case, do.Key)
		}
	}
}

func BenchmarkBoard(b *testing.B) {
	trip := bigTrip(45)
	for b.Loop() {
		Step(Input{Trip: trip, Now: leaderNow.Add(time.Hour), Event: Event{Kind: Text, Person: inês, Text: "/board"}})
	}
}

// Every field that a policy can differ in is shown and can be copied.
func TestEveryPolicyFieldIsShown(t *testing.T) {
	p := gas.Policy{OxygenCredit: true, BoatCheck: gas.BoatCheckAll} // differs from the default in everything
	trip := edited(leaderTrip(), func(d *roster.Draft) { d.EditPlan().Policy = p })
	for _, name := range p.Changed() {
		if _, ok := policyFields[name]; !ok {
			t.Errorf("policy field %s can't be shown", name)
		}
	}
	for _, line := range newTurn(Input{Trip: trip, Now: leaderNow}).policyLines() {
		if text := renderer.Line(line, message.Reader{}); strings.Contains(text, "⟦") {
			t.Errorf("a text is missing: %s", text)
		}
	}
}
