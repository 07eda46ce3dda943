package roster_test

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

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
	yusuf  roster.PersonID = "p8" // is added where he is wanted
)

// charter is a draft of a trip with two dives, a leader and two divers with a
// cylinder for each.
func charter() *roster.Draft {
	d := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	*d.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: departs,
		Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{
			{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(30), Minutes: 22},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Minutes: 40, Interval: 60},
		},
		Analysers: []roster.Analyser{{Name: "A"}, {Name: "B"}}}
	for _, p := range []*roster.Person{
		{ID: ines, Name: "Inês", Leader: true, Card: gas.CardSeen},
		{ID: tomasz, Name: "Tomasz", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{ID: "c4", Asked: 32, Dive: 1},
			{ID: "c5", Asked: 36, Dive: 2}}},
		{ID: marit, Name: "Marit", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{ID: "c6", Asked: 32, Dive: 1},
			{ID: "c7", Asked: 36, Dive: 2}}},
	} {
		d.AddPerson(p, "", dawn)
	}
	d.Next = 10
	return roster.Change(d.Done())
}

// ready is the charter with every cylinder analysed, nobody in a hurry.
func ready() *roster.Draft {
	d := charter()
	for i, r := range []struct {
		c roster.CylinderID
		p roster.PersonID
		o gas.Percent
	}{{"c4", tomasz, 32.1}, {"c5", tomasz, 35.8}, {"c6", marit, 31.9}, {"c7", marit, 36.1}} {
		at := dawn.Add(time.Duration(i) * time.Minute)
		d.Record(r.c, roster.Reading{Percent: r.o, At: at, Ref: "m" + string(r.c), By: r.p, Analyser: "A"}, at)
	}
	return remembered(d.Done())
}

func read(t *roster.Draft, c roster.CylinderID, p gas.Percent, by roster.PersonID, at time.Time) *roster.Reading {
	return t.Record(c, roster.Reading{Percent: p, At: at, Ref: at.String(), By: by}, at)
}

func cylinder(tb testing.TB, t *roster.Draft, id roster.CylinderID) *roster.Cylinder {
	tb.Helper()
	_, c := t.Cylinder(id)
	if c == nil {
		tb.Fatalf("no cylinder %s", id)
	}
	return c
}

// line is a person's clearance of dive 1, held against one that is worked out alone.
func line(tb testing.TB, t *roster.Draft, p roster.PersonID, now time.Time) *roster.Clearance {
	tb.Helper()
	return clearance(tb, t, p, 1, now)
}

func clearance(tb testing.TB, t *roster.Draft, p roster.PersonID, n int, now time.Time) *roster.Clearance {
	tb.Helper()
	b := board(tb, t, n, now)
	c := b.Of(p)
	if c == nil {
		tb.Fatalf("no clearance of %s", p)
	}
	if alone := t.Clearance(p, n, now); !reflect.DeepEqual(*c, alone) {
		tb.Fatalf("alone (-board +alone):\n%s", cmp.Diff(*c, alone))
	}
	return c
}

// is fails unless a clearance has that status and those needs.
func is(tb testing.TB, what string, c *roster.Clearance, status gas.Status, needs ...roster.Need) {
	tb.Helper()
	if c.Status != status || !slices.Equal(c.Needs, needs) {
		tb.Errorf("%s: got %v needing %v, want %v needing %v; %+v", what, c.Status, c.Needs, status, needs,
			c.Verdict.Reasons())
	}
}

// remembered is a draft of a trip whose clearances are all known.
func remembered(t *roster.Trip) *roster.Draft {
	d := roster.Change(t)
	for n := range d.Dives {
		d.Board(n+1, dawn)
	}
	return roster.Change(d.Done())
}

// failer is a test of either kind.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// board is the board of a draft. It is held against one that remembers nothing.
func board(tb failer, d *roster.Draft, n int, now time.Time) roster.Board {
	tb.Helper()
	want := roster.PlainBoard(d.Trip, n, now)
	for name, got := range map[string]roster.Board{"draft's": d.Board(n, now), "value's": d.Trip.Board(n, now)} {
		if !reflect.DeepEqual(want, got) {
			tb.Fatalf("the %s board (-computed afresh +got):\n%s", name, cmp.Diff(want, got))
		}
	}
	return want
}

func at(n int) time.Time { return dawn.Add(time.Duration(n) * time.Minute) }

// aboard opens the boat check of a dive, where everybody kept their cylinders.
func aboard(t *roster.Draft, n int, now time.Time) {
	t.OpenBoat(n, ines, now)
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if c.Dive == n {
				t.Attend(c.ID, roster.Kept, p.ID, now)
			}
		}
	}
}

func signOff(tb testing.TB, t *roster.Draft, n int, now time.Time) {
	tb.Helper()
	if !t.BoatOpened(n) {
		aboard(t, n, now)
	}
	if refused, ok := t.SignOff(n, ines, now); !ok {
		tb.Fatalf("sign-off refused: %+v", refused)
	}
}

// signed is the charter with dive 1 signed.
func signed(tb testing.TB) *roster.Draft {
	t := ready()
	signOff(tb, t, 1, at(40))
	return roster.Change(t.Done())
}
