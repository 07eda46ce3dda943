package roster_test

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// on is a reading on analyser A without an air point.
func on(d *roster.Draft, c roster.CylinderID, p gas.Percent, min int) roster.ReadingID {
	return d.Record(c, roster.Reading{Percent: p, At: at(min), Ref: "m", By: tomasz, Analyser: "A"}, at(min)).ID
}

// What the analyser showed in air is asked once of two cylinders of one message: it is said with both, and once.
func TestAnAirPointIsOfAllReadingsOfAMessage(t *testing.T) {
	trip := charter()
	one, two := on(trip, "c4", 32.1, 10), on(trip, "c5", 35.8, 10)
	other := read(trip, "c4", 32.2, tomasz, at(11)).ID // on none that was named
	of := []roster.ReadingID{one, two, other}
	if trip.AirPointOf(of, 20.9, gas.Weather{}, marit, at(12)) {
		t.Error("said by who took none of them")
	}
	if !trip.AirPointOf(of, 20.3, gas.Weather{}, tomasz, at(12)) {
		t.Error("taken for none")
	}
	for id, want := range map[roster.ReadingID]gas.Percent{one: 20.3, two: 20.3, other: 0} {
		if _, r := trip.Reading(id); r.AirPoint != want {
			t.Errorf("reading %s has %v, want %v", id, r.AirPoint, want)
		}
	}
	if n := len(trip.Analyser("A").AirPoints); n != 1 {
		t.Errorf("the analyser was in air %d times, want once", n)
	}
	if trip.AirPointOf(of, 20.9, gas.Weather{}, tomasz, at(13)) {
		t.Error("said twice")
	}
}

// Once a dive has begun that the cylinder was for, no air point is said with its readings, wherever it is now.
func TestNoAirPointOfWhatWasBreathed(t *testing.T) {
	for _, c := range []struct {
		name  string
		moved int // minutes after seven; dive 1 begins at 90
		other bool
		want  bool
	}{
		{"moved to dive 2 before dive 1", 80, false, true},
		{"moved to dive 2 after dive 1 began", 95, false, false},
		{"another of the same label stays on dive 1", 80, true, false},
	} {
		trip := charter()
		trip.SetLabel("c4", "11", tomasz, at(0))
		if c.other {
			trip.SetLabel("c6", "11", marit, at(1))
		}
		r := on(trip, "c4", 32.1, 60)
		trip.MoveCylinder("c4", 2, ines, at(c.moved))
		if got := trip.AirPointOf([]roster.ReadingID{r}, 20.9, gas.Weather{}, tomasz, at(100)); got != c.want {
			t.Errorf("%s: taken %v, want %v", c.name, got, c.want)
		}
	}
	trip := charter()
	r := on(trip, "c4", 32.1, 60)
	trip.SetDived(1, roster.Dived{By: ines}, at(70)) // before it was planned
	if trip.AirPointOf([]roster.ReadingID{r}, 20.9, gas.Weather{}, tomasz, at(75)) {
		t.Error("taken after the dive")
	}
}

// An analyser of which it is said only later that it was off takes away that a reading counts, and nothing that the
// reading asks: no failing air point makes a clearance greener.
func TestAFailingAirPointLiftsNothing(t *testing.T) {
	trip := charter()
	trip.SetAsked("c4", 34, tomasz, dawn)
	read(trip, "c4", 32.5, tomasz, at(1))
	r := on(trip, "c4", 31.6, 10) // 2.4 off what was asked for: plan again
	if got := line(t, trip, tomasz, at(11)).Verdict.SeverityOf(gas.RuleAsked); got != gas.Limits {
		t.Fatalf("asked: %v, want limits", got)
	}
	trip.AirPointOf([]roster.ReadingID{r}, 20.1, gas.Weather{}, tomasz, at(12))
	if got := line(t, trip, tomasz, at(13)).Verdict.SeverityOf(gas.RuleAsked); got != gas.Limits {
		t.Errorf("asked once the analyser was off: %v, want limits", got)
	}

	trip = charter()
	read(trip, "c4", 32.3, tomasz, at(1))
	r = on(trip, "c4", 32, 10) // just what was asked for
	is(t, "asked whether it showed", line(t, trip, tomasz, at(11)), gas.NotCleared, roster.NeedAnswer)
	trip.AirPointOf([]roster.ReadingID{r}, 20.1, gas.Weather{}, tomasz, at(12))
	is(t, "once the analyser was off", line(t, trip, tomasz, at(13)), gas.NotCleared, roster.NeedAnswer)
}
