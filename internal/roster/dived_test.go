package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// What a dive was planned as stays once it was dived, and its cylinders stay where
// they were.
func TestADivedDiveIsNotPlannedAgain(t *testing.T) {
	trip := ready()
	trip.SetDived(1, roster.Dived{By: ines}, at(120))
	plan := trip.Dives[0]
	plan.Depth, plan.Minutes = gas.M(20), 10
	for _, by := range []roster.PersonID{"", ines} {
		if trip.SetDive(1, plan, by, "", at(121)) || trip.SetDives([]roster.Dive{plan, trip.Dives[1]}, by, "", at(121)) {
			t.Errorf("planned again by %q", by)
		}
	}
	if !trip.SetDives([]roster.Dive{trip.Dives[0], {Site: "Slack Bank", Depth: gas.M(16), Minutes: 40, Interval: 60}},
		ines, "", at(122)) {
		t.Error("the other dive is planned again")
	}
	if trip.Retire("c4", ines, "", at(123)) || trip.MoveCylinder("c4", 2, ines, at(123)) ||
		trip.Swap("c4", "27", ines, "", at(123)) != nil {
		t.Error("its cylinder was taken away")
	}
}

// A dived dive keeps its signature; one that was called not dived may be signed.
func TestSignaturesOfDivedDives(t *testing.T) {
	trip := signed(t)
	trip.SetDived(1, roster.Dived{By: ines}, at(130))
	if trip.Withdraw(1, ines, "", at(131)) {
		t.Error("withdrawn after the dive")
	}
	trip = ready()
	trip.SetNotDived(1, ines, at(20))
	aboard(trip, 1, at(50))
	if refused, ok := trip.SignOff(1, ines, at(55)); !ok {
		t.Errorf("tried again: refused %+v", refused)
	}
}

// legOf is what dive 1 weighs on dive 2: how long Tomasz may stay there.
func legOf(t *testing.T, trip *roster.Draft, now int) float64 {
	t.Helper()
	return clearance(t, trip, tomasz, 2, at(now)).MaxMinutes
}

// What is said after a dive makes the dives after it stricter at most: richer and
// leaner. Unread it is the request for oxygen and air for nitrogen.
func TestWhatWasDivedGetsNoLighter(t *testing.T) {
	deep := func() *roster.Draft {
		trip := charter()
		trip.SetDive(2, roster.Dive{Site: "Lime Kiln Wall", Depth: gas.M(24), Minutes: 40, Interval: 60}, ines, "", at(0))
		read(trip, "c5", 35.8, tomasz, at(5))
		return trip
	}
	for _, c := range []struct {
		name   string
		before func(*roster.Draft)
		after  func(*roster.Draft)
		same   bool
	}{
		{"a number from paper, richer than the request", func(*roster.Draft) {}, func(d *roster.Draft) {
			d.Record("c4", roster.Reading{Percent: 33.5, At: at(200), Ref: "p", By: ines, Taken: at(60)}, at(200))
		}, true},
		{"a leaner one", func(d *roster.Draft) { read(d, "c4", 32.1, tomasz, at(60)) }, func(d *roster.Draft) {
			d.Record("c4", roster.Reading{Percent: 30.5, At: at(200), Ref: "p", By: ines, Taken: at(70)}, at(200))
		}, false},
		{"its label put right to one that was read", func(d *roster.Draft) {
			d.SetLabel("c6", "11", marit, at(1))
			read(d, "c6", 31.9, marit, at(2))
		}, func(d *roster.Draft) { d.SetLabel("c4", "11", tomasz, at(200)) }, true},
		{"sat out afterwards", func(d *roster.Draft) { read(d, "c4", 32.1, tomasz, at(60)) },
			func(d *roster.Draft) { d.SitOut(tomasz, 1, ines, "gear", at(200)) }, true},
		{"the start moved afterwards", func(d *roster.Draft) { read(d, "c4", 32.1, tomasz, at(0)) },
			func(d *roster.Draft) { d.SetDeparture(departs.Add(30*3600e9), ines, at(200)) }, true},
		{"back in afterwards, and out again", func(d *roster.Draft) {
			read(d, "c4", 32.1, tomasz, at(0))
			d.SitOut(tomasz, 1, ines, "gear", at(60))
		}, func(d *roster.Draft) {
			d.BackIn(tomasz, 1, ines, "", at(200))
			d.SitOut(tomasz, 1, ines, "gear", at(200))
		}, true},
		{"kept on the boat before, and said again", func(d *roster.Draft) {
			read(d, "c4", 32.1, tomasz, at(0))
			aboard(d, 1, at(60))
		}, func(d *roster.Draft) { d.Attend("c4", roster.Kept, tomasz, at(200)) }, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			trip := deep()
			c.before(trip)
			trip.SetDived(1, roster.Dived{By: ines}, at(130))
			was := legOf(t, trip, 199)
			c.after(trip)
			if is := legOf(t, trip, 201); is > was || (is == was) != c.same || was == 0 {
				t.Errorf("%v min before, %v after; the same: want %v", was, is, c.same)
			}
		})
	}
}

// A cylinder that its diver takes out of use or to another dive is still breathed
// where it was.
func TestWhatIsTakenAwayStillWeighs(t *testing.T) {
	for name, do := range map[string]func(*roster.Draft){
		"retired by the shop": func(d *roster.Draft) { d.Retire("c4", "", "", at(20)) },
		"moved by its diver":  func(d *roster.Draft) { d.MoveCylinder("c4", 2, tomasz, at(20)) },
		"moved, then another in it": func(d *roster.Draft) {
			d.MoveCylinder("c4", 2, tomasz, at(20))
			d.Swap("c4", "27",
				ines, "", at(21))
		},
		"added without being watched": func(d *roster.Draft) { d.AddCylinder(tomasz, 1, 32, "", tomasz, at(20)) },
	} {
		trip := ready()
		was := legOf(t, trip, 19)
		if do(trip); legOf(t, trip, 25) > was {
			t.Errorf("%s: %v min, before %v", name, legOf(t, trip, 25), was)
		}
	}
}

// A departure and what passes until the first dive, said by the shop one after the
// other, are one start.
func TestAStartSaidInTwo(t *testing.T) {
	trip := ready()
	trip.SetDeparture(departs.Add(-45*60e9), "", at(20))
	trip.SetFirstDiveAfter(60, "", at(20))
	if got, want := trip.Starts(1), departs.Add(15*60e9); !got.Equal(want) || trip.Wanted.Any() {
		t.Errorf("dive 1 at %v, want %v; waits: %+v", got, want, trip.Wanted)
	}
}

// Whoever was moved by the shop keeps the limits of the team they were in, also those
// that are set later; a leader tightens their own limit in depth or in time.
func TestLimitsThatHoldOn(t *testing.T) {
	trip := ready()
	trip.SetTeam(tomasz, "red", ines, at(10))
	trip.SetTeam(tomasz, "blue", "", at(11))
	trip.SetTeamLimit(roster.Limit{Team: "red", Depth: gas.M(24), By: ines}, at(12))
	if l := trip.TeamLimitOn(trip.Person(tomasz), 1); l.Depth != gas.M(24) {
		t.Errorf("taken out by the shop: got %v, want 24 m", l.Depth)
	}
	trip.SetTeam(tomasz, "green", ines, at(13))
	if l := trip.TeamLimitOn(trip.Person(tomasz), 1); l.Depth.Known() {
		t.Errorf("moved by a leader: got %v", l.Depth)
	}
	trip.HandOver(marit, ines, at(14))
	trip.SetRole(ines, true, false, "", at(14))
	trip.SetLimit(marit, roster.Limit{Dive: 1, Depth: gas.M(25), By: ines}, at(15))
	if !trip.SetLimit(marit, roster.Limit{Dive: 1, Minutes: 15, By: marit}, at(16)) {
		t.Fatal("shorter, by herself")
	}
	if l := trip.Person(marit).LimitOn(1); l != (gas.Limit{Depth: gas.M(25), Minutes: 15}) {
		t.Errorf("got %+v, want 25 m and 15 min", l)
	}
	if trip.SetLimit(marit, roster.Limit{Dive: 1, By: marit}, at(17)) {
		t.Error("taken back by herself")
	}
}

// A half that a leader says leaves the other half that was set, of a diver, of a team
// and of a leader who holds on to their team's.
func TestALimitKeepsTheHalfThatIsNotSaid(t *testing.T) {
	trip := ready()
	trip.HandOver(marit, ines, at(9))
	trip.SetRole(ines, true, false, "", at(9))
	set := func(depth gas.Depth, minutes float64, by roster.PersonID) {
		trip.SetLimit(tomasz, roster.Limit{Dive: 1, Depth: depth, Minutes: minutes, By: by}, at(10))
	}
	is := func(want gas.Limit) {
		t.Helper()
		if l := trip.Person(tomasz).LimitOn(1); l != want {
			t.Errorf("got %+v, want %+v", l, want)
		}
	}
	set(gas.M(20), 0, ines)
	set(gas.Depth{}, 15, marit)
	is(gas.Limit{Depth: gas.M(20), Minutes: 15})
	set(gas.M(24), 0, ines)
	is(gas.Limit{Depth: gas.M(24), Minutes: 15})
	set(gas.Depth{}, 0, ines)
	is(gas.Limit{})
	trip.SetTeam(marit, "red", ines, at(11))
	team := func(depth gas.Depth, minutes float64, by roster.PersonID, want gas.Limit) {
		t.Helper()
		trip.SetTeamLimit(roster.Limit{Team: "red", Dive: 1, Depth: depth, Minutes: minutes, By: by}, at(12))
		if l := trip.TeamLimitOn(trip.Person(marit), 1); l != want {
			t.Errorf("of the team: got %+v, want %+v", l, want)
		}
	}
	team(gas.M(20), 0, ines, gas.Limit{Depth: gas.M(20)})
	team(gas.M(25), 0, marit, gas.Limit{Depth: gas.M(20)})
	team(gas.Depth{}, 15, ines, gas.Limit{Depth: gas.M(20), Minutes: 15})
	team(gas.M(25), 0, ines, gas.Limit{Depth: gas.M(25), Minutes: 15})
	team(gas.Depth{}, 0, ines, gas.Limit{})
}

// What a leader says of one person goes by what they said for all.
func TestDivedOfOneAfterAll(t *testing.T) {
	trip := ready()
	trip.SetDived(1, roster.Dived{By: ines, Depth: gas.M(34)}, at(120))
	trip.SetDived(1, roster.Dived{By: ines, Person: tomasz, Minutes: 18}, at(121))
	if d, _ := trip.DivedBy(1, tomasz); d.Depth != gas.M(34) || d.Minutes != 18 {
		t.Errorf("got %v, %v min, want 34 m, 18 min", d.Depth, d.Minutes)
	}
	trip.SetDived(1, roster.Dived{By: ines}, at(122))
	if d, _ := trip.DivedBy(1, marit); d.Depth != gas.M(30) {
		t.Errorf("as planned, said last for all: got %v", d.Depth)
	}
}

// The surface interval runs from when the last diver was up, as a leader said it.
func TestTheIntervalRunsByTheClock(t *testing.T) {
	trip := ready()
	if trip.SetUp(1, at(100), ines, at(120)) {
		t.Error("a dive that was not dived has no end")
	}
	trip.SetDived(1, roster.Dived{By: ines}, at(120))
	for name, ok := range map[string]bool{
		"a diver's word":     trip.SetUp(1, at(100), tomasz, at(120)),
		"still to come":      trip.SetUp(1, at(121), ines, at(120)),
		"before departure":   trip.SetUp(1, departs.Add(-time.Minute), ines, at(120)),
		"a dive of no trip":  trip.SetUp(7, at(100), ines, at(120)),
		"before the one ago": trip.SetUp(2, at(100), ines, at(120)),
	} {
		if ok {
			t.Errorf("%s is taken", name)
		}
	}
	planned := trip.Starts(2)
	for _, minute := range []int{110, 100} {
		if !trip.SetUp(1, at(minute), ines, at(120)) {
			t.Fatal("not taken")
		}
		want := at(minute).Add(time.Duration(trip.Dives[1].Interval) * time.Minute)
		if got := trip.Starts(2); !got.Equal(want) {
			t.Errorf("dive 2 starts at %v, want %v", got, want)
		}
	}
	first := trip.Done()
	again := roster.Change(first)
	if !again.SetUp(1, at(100), ines, at(125)) || touched(first, again.Done()) != nil {
		t.Error("the same time again changes something")
	}
	again.TakeBackDived(1, ines, at(126))
	if got := again.Starts(2); !got.Equal(planned) {
		t.Errorf("taken back, dive 2 starts at %v, want %v as planned", got, planned)
	}
}

// What is said for all counts for those who were named before too, where it is deeper or longer: the last word for one
// diver stands, and is never looser than what was said for everybody after it (design, "Earlier dives").
func TestDivedByAllAndByOne(t *testing.T) {
	all := func(m, min float64) roster.Dived { return roster.Dived{Depth: gas.M(m), Minutes: min, By: ines} }
	one := func(m, min float64) roster.Dived {
		return roster.Dived{Person: tomasz, Depth: gas.M(m), Minutes: min, By: ines}
	}
	self := func(m, min float64) roster.Dived {
		return roster.Dived{Person: tomasz, Depth: gas.M(m), Minutes: min, By: tomasz}
	}
	for _, c := range []struct {
		name         string
		said         []roster.Dived
		depth, other float64
		minutes      float64
	}{
		{"one, then all deeper and longer", []roster.Dived{one(30, 14), all(40, 30)}, 40, 40, 30},
		{"one, then all shallower and shorter", []roster.Dived{one(40, 30), all(30, 14)}, 40, 30, 30},
		{"one, then all deeper and shorter", []roster.Dived{one(30, 30), all(40, 14)}, 40, 40, 30},
		{"one, all, and one again", []roster.Dived{one(30, 14), all(40, 30), one(30, 14)}, 30, 40, 14},
		{"one, all wrong, all put right", []roster.Dived{one(30, 14), all(40, 30), all(35, 20)}, 35, 35, 20},
		{"all, then one", []roster.Dived{all(40, 30), one(30, 14)}, 30, 40, 14},
		{"themself milder", []roster.Dived{all(40, 30), self(30, 14)}, 40, 40, 30},
		{"themself deeper, then all", []roster.Dived{self(42, 14), all(40, 30)}, 42, 40, 30},
		{"themself deeper, then a leader", []roster.Dived{self(42, 14), one(40, 30)}, 40, 29, 30},
	} {
		trip := ready()
		trip.SetDived(1, roster.Dived{By: ines}, at(120))
		for i, d := range c.said {
			if !trip.SetDived(1, d, at(121+i)) {
				t.Fatalf("%s: not taken", c.name)
			}
		}
		got, _ := trip.DivedBy(1, tomasz)
		if got.Depth != gas.M(c.depth) || got.Minutes != c.minutes {
			t.Errorf("%s: %v for %v min, want %v m for %v min", c.name, got.Depth, got.Minutes, c.depth, c.minutes)
		}
		if other, said := trip.DivedBy(1, marit); said && other.Depth != gas.M(c.other) {
			t.Errorf("%s: the other diver %v, want %v m", c.name, other.Depth, c.other)
		}
	}
}
