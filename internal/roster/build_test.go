package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// The day of the tests: readings at the dock from seven, departure at half past eight.
var (
	dawn    = time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	departs = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)
)

const (
	ines   roster.PersonID = "p1" // leads, does not dive
	tomasz roster.PersonID = "p2" // c4 for dive 1, c5 for dive 2
	marit  roster.PersonID = "p3" // c6 for dive 1, c7 for dive 2
)

// charter is a trip with two dives, a leader and two divers with a cylinder for each.
func charter() *roster.Trip {
	t := &roster.Trip{ID: "abcdefghij", Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: departs, Policy: gas.DefaultPolicy(),
		Dives: []roster.Dive{
			{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(30), Minutes: 22},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Minutes: 40, Interval: 60},
		},
		Analysers: []roster.Analyser{{Name: "A"}, {Name: "B"}}}
	for _, p := range []*roster.Person{
		{ID: ines, Name: "Inês", Leader: true, Card: gas.CardSeen},
		{ID: tomasz, Name: "Tomasz", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{ID: "c4", Asked: 32, Dive: 1}, {ID: "c5", Asked: 36, Dive: 2}}},
		{ID: marit, Name: "Marit", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{ID: "c6", Asked: 32, Dive: 1}, {ID: "c7", Asked: 36, Dive: 2}}},
	} {
		t.AddPerson(p, "", dawn)
	}
	t.Next = 10
	t.Acts = nil
	return t
}

// ready is the charter with every cylinder analysed, nobody in a hurry.
func ready() *roster.Trip {
	t := charter()
	for i, r := range []struct {
		c roster.CylinderID
		p roster.PersonID
		o gas.Percent
	}{{"c4", tomasz, 32.1}, {"c5", tomasz, 35.8}, {"c6", marit, 31.9}, {"c7", marit, 36.1}} {
		at := dawn.Add(time.Duration(i) * time.Minute)
		t.Record(r.c, roster.Reading{Percent: r.o, At: at, Ref: "m" + string(r.c), By: r.p, Analyser: "A"}, at)
	}
	t.Acts = nil
	return t
}

func read(t *roster.Trip, c roster.CylinderID, p gas.Percent, by roster.PersonID, at time.Time) *roster.Reading {
	return t.Record(c, roster.Reading{Percent: p, At: at, Ref: at.String(), By: by}, at)
}

func cylinder(tb testing.TB, t *roster.Trip, id roster.CylinderID) *roster.Cylinder {
	tb.Helper()
	_, c := t.Cylinder(id)
	if c == nil {
		tb.Fatalf("no cylinder %s", id)
	}
	return c
}

func line(tb testing.TB, t *roster.Trip, p roster.PersonID, now time.Time) *roster.PersonBoard {
	tb.Helper()
	b := t.Board(now)
	pb := b.Of(p)
	if pb == nil {
		tb.Fatalf("no line for %s", p)
	}
	return pb
}

func at(n int) time.Time { return dawn.Add(time.Duration(n) * time.Minute) }

func signOff(tb testing.TB, t *roster.Trip, now time.Time) {
	tb.Helper()
	if refused, ok := t.SignOff(ines, now); !ok {
		tb.Fatalf("sign-off refused: %+v", refused)
	}
}
