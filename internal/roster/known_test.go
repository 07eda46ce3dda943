package roster_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Of an event that changes one person all other clearances are known, and that
// of the person too once it is over. Who changes the plan changes them all.
func TestClearancesAreKnown(t *testing.T) {
	trip := ready().Done()
	for i, step := range []struct {
		name string
		do   func(*roster.Draft)
		want []roster.PersonID
	}{
		{"a board", func(*roster.Draft) {}, []roster.PersonID{tomasz, marit}},
		{"a reading", func(d *roster.Draft) { read(d, "c4", 32, tomasz, at(60)) }, []roster.PersonID{marit}},
		{"the next event", func(*roster.Draft) {}, []roster.PersonID{tomasz, marit}},
		{"somebody else's reading", func(d *roster.Draft) { read(d, "c6", 32, marit, at(62)) }, []roster.PersonID{tomasz}},
		{"a name of the trip", func(d *roster.Draft) { d.Rename("Sunday two-tank", "", at(63)) }, nil},
		{"the next event", func(*roster.Draft) {}, []roster.PersonID{tomasz, marit}},
	} {
		d := roster.Change(trip)
		step.do(d)
		if diff := cmp.Diff(step.want, roster.Known(d.Trip, 1, at(60+i))); diff != "" {
			t.Errorf("event %d, %s: known (-want +got):\n%s", i, step.name, diff)
		}
		board(t, d, 1, at(60+i))
		trip = d.Done()
		board(t, roster.Change(trip), 1, at(60+i))
	}
}

// What somebody is told makes another copy of them and their cylinders, and no
// clearance another one: two places of one cylinder stay one.
func TestWhatSomebodyIsToldChangesNoClearance(t *testing.T) {
	d := ready()
	d.SetLabel("c4", "17", tomasz, at(50))
	d.SetLabel("c5", "17", tomasz, at(51)) // the same cylinder, refilled between the dives
	trip := d.Done()
	d = roster.Change(trip)
	board(t, d, 1, at(60))
	d.Tell(tomasz, roster.Told{Dive: 1, Status: gas.Go, At: at(60)})
	board(t, d, 2, at(60))
	if diff := cmp.Diff(trip.Evidence("c5", at(60)), d.Evidence("c5", at(60))); diff != "" {
		t.Errorf("evidence (-of the trip +of the draft that told):\n%s", diff)
	}
}

// A published board that is known costs less than one check.
func TestAKnownBoardIsNotWorkedOut(t *testing.T) {
	known := boatload(15)
	fresh := copyOf(t, known)
	cost := func(trip *roster.Trip) float64 { return testing.AllocsPerRun(5, func() { trip.Board(1, at(60)) }) }
	if got, afresh := cost(known), cost(fresh); got*10 > afresh {
		t.Errorf("known: %v allocations, afresh: %v", got, afresh)
	}
}

// Until the first dive's start nothing hangs on the clock; after it everything
// is worked out whenever it is asked for.
func TestWhatIsKnownDoesNotGetOld(t *testing.T) {
	d := charter()
	d.EditPlan().Policy.FreshFor = 2
	read(d, "c4", 32.1, tomasz, at(45))
	read(d, "c5", 35.9, tomasz, at(150))
	trip := remembered(d.Done()).Done()
	for _, now := range []time.Time{at(0), at(119), at(120), at(165), at(166), at(170), at(240), at(400)} {
		d := roster.Change(trip)
		board(t, d, 1, now)
		board(t, d, 2, now)
		trip = d.Done()
	}
	is(t, "two hours old", line(t, roster.Change(trip), tomasz, at(165)), gas.Go)
	is(t, "a minute later", line(t, roster.Change(trip), tomasz, at(166)), gas.NotCleared, roster.NeedReading)
}

// Two people claim one cylinder: the clearance of the one who is untouched is
// another one, and the first again once the claim is given up. So it is when
// the label comes round by a third cylinder.
func TestWhatIsKnownIsNobodyElses(t *testing.T) {
	base := ready()
	base.SetLabel("c4", "17", tomasz, at(50))
	trip := remembered(base.Done()).Done()
	for label, want := range map[string]gas.Status{"17": gas.NotCleared, "22": gas.Go} {
		d := roster.Change(trip)
		d.SetLabel("c6", label, marit, at(51))
		if got := line(t, d, tomasz, at(52)).Status; got != want {
			t.Errorf("Marit has %s: got %v for Tomasz, want %v", label, got, want)
		}
		again := roster.Change(d.Done())
		again.SetLabel("c6", "23", marit, at(53))
		if got := line(t, again, tomasz, at(54)).Status; got != gas.Go {
			t.Errorf("Marit had %s and has another: got %v for Tomasz", label, got)
		}
		third := roster.Change(again.Done())
		read(third, "c6", 36.4, marit, at(55))
		line(t, third, tomasz, at(56))
		without := roster.Change(third.Done())
		without.People = without.People[:2]
		line(t, without, tomasz, at(57))
	}
}

// A draft's own copies are written to again under the same pointers.
func TestNothingIsKnownOfADraftsOwnCopies(t *testing.T) {
	d := roster.Change(ready().Done())
	for i, depth := range []float64{28, 45, 30} {
		d.SetDive(1, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(depth), Minutes: 22}, ines, "swell", at(60+i))
		board(t, d, 1, at(60+i))
		read(d, "c4", gas.Percent(31+i), tomasz, at(70+i))
		board(t, d, 1, at(70+i))
	}
	read(d, "c4", 38, tomasz, at(80)) // nobody asks after it
	board(t, roster.Change(d.Done()), 1, at(80))
}

// People who come, go and change places have their own clearances.
func TestWhatIsKnownFollowsTheList(t *testing.T) {
	trip := ready().Done()
	for name, people := range map[string][]*roster.Person{
		"nobody left":   {},
		"one left":      trip.People[:1],
		"turned around": {trip.People[2], trip.People[1], trip.People[0]},
		"the first out": trip.People[1:],
	} {
		t.Run(name, func(t *testing.T) {
			d := roster.Change(trip)
			d.People = people
			board(t, d, 1, at(60))
			board(t, roster.Change(d.Done()), 1, at(60))
		})
	}
}

// telling are the acts by which people's clearances hang together, and on the
// clock.
var telling = []string{"record", "record", "label", "label", "swap", "add", "fill", "open boat", "attend", "correct",
	"undo", "witness",
	"ask", "move to dive", "confirm move", "dived", "not dived", "dived back", "site", "departure", "policy", "out",
	"outside", "team",
	"team limit", "leave", "person", "air"}

// On any day every board that is asked for, of a draft or of a published trip,
// is the one that would be worked out from nothing.
func TestAnyDayIsKnownRight(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		m.publish()
		for range rapid.IntRange(1, 30).Draw(rt, "events") {
			m.now = m.now.Add(time.Duration(rapid.SampledFrom([]int{0, 1, 7, 30, 90}).Draw(rt, "minutes")) * time.Minute)
			for range rapid.IntRange(0, 2).Draw(rt, "acts") {
				acts[rapid.SampledFrom(telling).Draw(rt, "act")](rt, m)
				checkKnown(rt, m)
			}
			checkKnown(rt, m)
			m.publish()
			checkKnown(rt, m)
		}
	})
}

// checkKnown asks for boards, and before that for some clearances by themselves, with
// somebody told theirs in between.
func checkKnown(t *rapid.T, m *machine) {
	t.Helper()
	for n := range m.trip.Dives {
		if rapid.Bool().Draw(t, "alone") {
			p := m.person(t)
			if c := m.trip.Clearance(p, n+1, m.now); c.Active {
				m.trip.Tell(p, roster.Told{Dive: n + 1, Status: c.Status, At: m.now})
			}
		}
		board(t, m.trip, n+1, m.now)
	}
}
