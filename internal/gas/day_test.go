package gas

import (
	"math"
	"testing"
)

// secondDive is the plain diver's second dive of 32 % at 18 m for 40 minutes,
// an hour after what is given.
func secondDive(past Leg, change func(*Diver)) Verdict {
	p, d := plain()
	d.Before = []Leg{past}
	c := &d.Cylinders[0]
	c.Evidence, d.Dive.Number, d.Dive.Depth, d.Dive.Minutes, d.Dive.Interval = Read(32), 2, M(18), 40, 60
	if change != nil {
		change(&d)
	}
	return Assess(p, d)
}

func past(o2 Percent, d Depth, minutes float64) Leg {
	return Leg{Number: 1, Depth: d, Minutes: minutes, Rich: o2, Lean: o2}
}

// TestTheSecondDiveCarriesTheFirst: tissues and oxygen of the first dive, by
// the same pieces that the tests of no-stop time hold to an integration.
func TestTheSecondDiveCarriesTheFirst(t *testing.T) {
	w := Place{}.physical()
	now := saturated(w.surface)
	now.dive(w, 0.68, 30, 22)
	now.rest(w, 60)
	want := now.noStop(w, 0.68, 18, 0.85)
	first, _ := Place{}.OxygenOf(32, M(30), 22)
	second, _ := Place{}.OxygenOf(32, M(18), 40)

	n := secondDive(past(32, M(30), 22), nil).Numbers[0]
	if math.Abs(n.NoStop.Minutes-want.Minutes) > 1e-9 {
		t.Errorf("no-stop: got %v, want %v", n.NoStop.Minutes, want.Minutes)
	}
	if alone := (Place{}).NoStopTime(32, M(18), 85); n.NoStop.Minutes >= alone.Minutes {
		t.Errorf("no-stop: %v min after a dive, %v without", n.NoStop.Minutes, alone.Minutes)
	}
	if math.Abs(n.CNS.Value-first.CNS-second.CNS) > 1e-9 || math.Abs(n.OTU.Value-first.OTU-second.OTU) > 1e-9 ||
		math.Abs(n.CNS24.Value-first.CNS24-second.CNS24) > 1e-9 {
		t.Errorf("oxygen: got %v, %v, %v; want the sum of %+v and %+v", n.CNS, n.CNS24, n.OTU, first, second)
	}
	if n.Navy.State != NoStopNone {
		t.Errorf("the Navy table knows nothing of dives before: got %+v", n.Navy)
	}
}

// TestALeanerFirstGasLeavesLessTime: what was breathed counts, not what was
// asked for.
func TestALeanerFirstGasLeavesLessTime(t *testing.T) {
	at := func(o2 Percent) float64 { return secondDive(past(o2, M(30), 20), nil).Numbers[0].NoStop.Minutes }
	if lean, rich := at(28), at(34); lean >= rich {
		t.Errorf("after 28 %%: %v min, after 34 %%: %v min", lean, rich)
	}
}

// TestTwoCylindersOnOneDive: the leanest counts for nitrogen, the richest for
// oxygen.
func TestTwoCylindersOnOneDive(t *testing.T) {
	both := secondDive(past(28, M(30), 22), func(d *Diver) { d.Before[0].Rich = 34 }).Numbers[0]
	lean := secondDive(past(28, M(30), 22), nil).Numbers[0]
	rich := secondDive(past(34, M(30), 22), nil).Numbers[0]
	if both.NoStop != lean.NoStop || both.CNS != rich.CNS {
		t.Errorf("got %+v, %v; want %+v, %v", both.NoStop, both.CNS, lean.NoStop, rich.CNS)
	}
}

func TestADayThatIsNotKnownGivesNoTimes(t *testing.T) {
	for _, c := range []struct {
		name   string
		past   Leg
		change func(*Diver)
	}{
		{"no minutes", past(32, M(30), 0), nil},
		{"no depth", past(32, Depth{}, 22), nil},
		{"no gas", past(0, M(30), 22), nil},
		{"no interval", past(32, M(30), 22), func(d *Diver) { d.Dive.Interval = math.NaN() }},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := secondDive(c.past, c.change)
			if n := v.Numbers[0]; n.NoStop.State != NoStopUnknown || n.CNS.Known {
				t.Errorf("got %+v, %v", n.NoStop, n.CNS)
			}
			for _, r := range []Rule{RuleNoStop, RuleOxygenClock} {
				if f := findingOf(t, v, r); f.Case != "day-unknown" {
					t.Errorf("%s: got %s", r, f.Case)
				}
			}
		})
	}
}

// Oxygen beyond the table on an earlier dive stops every later one.
func TestAFirstDiveOffTheTableStopsTheSecond(t *testing.T) {
	v := secondDive(past(40, M(35), 22), nil)
	if f := findingOf(t, v, RuleOxygenClock); f.Case != clockDay.Case || f.Severity != Stop || v.Numbers[0].CNS.Known {
		t.Errorf("got %s %v, %v", f.Case, f.Severity, v.Numbers[0].CNS)
	}
}

// Oxygen of the day is a lower bound: over the limit it stops whatever is known
// of this dive, also for whom the times are their own computer's.
func TestOxygenOfTheDayIsALowerBound(t *testing.T) {
	full := past(35, M(30), 160) // 150 min at 1.4 are the whole limit (NOAA)
	for name, change := range map[string]func(*Diver){
		"dived yesterday": func(d *Diver) { d.OwnComputer = true },
		"not read":        func(d *Diver) { d.Cylinders[0].Evidence = Evidence{} },
	} {
		if f := findingOf(t, secondDive(full, change), RuleOxygenClock); f.Severity != Stop {
			t.Errorf("%s: got %s %v, want no-go", name, f.Case, f.Severity)
		}
	}
}

// Who sits a dive out spends its time at the surface.
func TestADiveSatOutIsTimeAtTheSurface(t *testing.T) {
	first := past(32, M(30), 22)
	first.Number = 0
	out := secondDive(first, func(d *Diver) {
		d.Before = append(d.Before, Leg{Number: 1, AtSurface: true, Minutes: 45, Interval: 15})
	}).Numbers[0]
	rested := secondDive(first, func(d *Diver) { d.Dive.Interval = 120 }).Numbers[0]
	if math.Abs(out.NoStop.Minutes-rested.NoStop.Minutes) > 1e-9 {
		t.Errorf("got %v, want %v", out.NoStop.Minutes, rested.NoStop.Minutes)
	}
}

// TestOxygenCreditIsAPolicy: none by default; with it, half of the first
// dive's single-exposure clock is left after 90 minutes, and nothing else moves.
func TestOxygenCreditIsAPolicy(t *testing.T) {
	p, d := plain()
	d.Before = []Leg{past(32, M(30), 22)}
	c := &d.Cylinders[0]
	c.Evidence, d.Dive.Number, d.Dive.Depth, d.Dive.Minutes, d.Dive.Interval = Read(32), 2, M(18), 40, 90
	without := Assess(p, d).Numbers[0]
	p.OxygenCredit = true
	with := Assess(p, d).Numbers[0]
	first, _ := Place{}.OxygenOf(32, M(30), 22)
	if got := without.CNS.Value - with.CNS.Value; math.Abs(got-first.CNS/2) > 1e-9 {
		t.Errorf("credit: got %v, want %v", got, first.CNS/2)
	}
	if with.CNS24 != without.CNS24 || with.OTU != without.OTU {
		t.Error("the 24-hour clock and the OTU have no credit")
	}
}

func TestALongerIntervalNeverShortensTheSecondDive(t *testing.T) {
	last := 0.0
	for _, interval := range []float64{0, 10, 60, 120, 600, 2880} {
		v := secondDive(past(32, M(30), 22), func(d *Diver) { d.Dive.Interval = interval })
		if got := v.Numbers[0].NoStop.Minutes; got < last {
			t.Errorf("%v min at the surface: %v, less than %v", interval, got, last)
		} else {
			last = got
		}
	}
}

// TestTheDayBeginsAdaptedToItsFirstDive: who drives up to a lake after a dive in
// the sea brings the sea's nitrogen along, also who sat that dive out.
func TestTheDayBeginsAdaptedToItsFirstDive(t *testing.T) {
	up := Dive{Number: 2, Place: Place{Altitude: 1200}, Depth: M(18), Minutes: 40, Interval: 60}
	sat := Leg{Number: 1, AtSurface: true, Minutes: 30}
	high := sat
	high.Place = up.Place
	fromSea, fromLake := before([]Leg{sat}, &up, false), before([]Leg{high}, &up, false)
	want := saturated(Place{}.physical().surface)
	want.rest(Place{}.physical(), 30)
	want.rest(up.Place.physical(), 60)
	if fromSea.tissues != want || !fromSea.known || !fromSea.first {
		t.Errorf("from the sea: got %+v", fromSea)
	}
	adapted := saturated(up.Place.physical().surface)
	for i, p := range fromLake.tissues {
		if math.Abs(p-adapted[i]) > 1e-9 || fromSea.tissues[i] <= p {
			t.Fatalf("compartment %d: at the lake all day %v (adapted: %v), from the sea %v", i, p, adapted[i],
				fromSea.tissues[i])
		}
	}
}

// TestEarlierOxygenStopsAlsoWithoutACylinder: NOAA's 150 minutes at 1.4 atm are
// used up, or its table was left, whatever will be breathed next.
func TestEarlierOxygenStopsAlsoWithoutACylinder(t *testing.T) {
	for _, c := range []struct {
		name string
		past Leg
		want Severity
	}{
		{"a plain dive", past(32, M(30), 22), NotApplicable},
		{"160 minutes at 1.4", past(35, M(30), 160), Stop},
		{"beyond the table", past(40, M(35), 22), Stop},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := secondDive(c.past, func(d *Diver) { d.Cylinders, d.Needed = nil, true })
			if got := v.SeverityOf(RuleOxygenClock); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}
