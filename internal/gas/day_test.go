package gas

import (
	"math"
	"testing"
)

// secondDive is the plain diver's second dive of 32 % at 18 m for 40 minutes,
// an hour after what is given.
func secondDive(past Cylinder, change func(*Diver)) Verdict {
	p, d := plain()
	d.Past = []Cylinder{past}
	c := &d.Cylinders[0]
	c.Readings, c.Dive.Number, c.Dive.Depth, c.Dive.Minutes, c.Dive.Interval = []Reading{read(32)}, 2, M(18), 40, 60
	if change != nil {
		change(&d)
	}
	return Assess(p, d, start)
}

func past(o2 Percent, d Depth, minutes float64) Cylinder {
	return Cylinder{Readings: []Reading{read(o2)}, Dive: Dive{Number: 1, Depth: d, Minutes: minutes}}
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

func TestWhatWasDivedReplacesThePlan(t *testing.T) {
	p := past(32, M(30), 22)
	p.Dive.DivedDepth, p.Dive.DivedMinutes = M(34), 30
	got := secondDive(p, nil).Numbers[0]
	want := secondDive(past(32, M(34), 30), nil).Numbers[0]
	if got.NoStop != want.NoStop || got.CNS != want.CNS {
		t.Errorf("got %+v, %v; want %+v, %v", got.NoStop, got.CNS, want.NoStop, want.CNS)
	}
}

// TestPlannedAndPastAreTheSame: a first dive counts alike as a cylinder that is
// still checked and as one that was dived.
func TestPlannedAndPastAreTheSame(t *testing.T) {
	want := secondDive(past(32, M(30), 22), nil).Numbers[0]
	v := secondDive(past(32, M(30), 22), func(d *Diver) {
		d.Past = nil
		d.Cylinders = append(d.Cylinders, Cylinder{Key: "c0", Readings: []Reading{read(32)}, Dive: Dive{Number: 1, Depth: M(30), Minutes: 22}})
	})
	if got := v.Numbers[0]; got.NoStop != want.NoStop || got.CNS != want.CNS {
		t.Errorf("got %+v, %v; want %+v, %v", got.NoStop, got.CNS, want.NoStop, want.CNS)
	}
}

// TestTwoCylindersOnOneDive: the leanest counts for nitrogen, the richest for
// oxygen.
func TestTwoCylindersOnOneDive(t *testing.T) {
	both := secondDive(past(28, M(30), 22), func(d *Diver) { d.Past = append(d.Past, past(34, M(30), 22)) }).Numbers[0]
	lean := secondDive(past(28, M(30), 22), nil).Numbers[0]
	rich := secondDive(past(34, M(30), 22), nil).Numbers[0]
	if both.NoStop != lean.NoStop || both.CNS != rich.CNS {
		t.Errorf("got %+v, %v; want %+v, %v", both.NoStop, both.CNS, lean.NoStop, rich.CNS)
	}
}

func TestADayThatIsNotKnownGivesNoTimes(t *testing.T) {
	for _, c := range []struct {
		name   string
		past   Cylinder
		change func(*Diver)
	}{
		{"no minutes", past(32, M(30), 0), nil},
		{"no depth", past(32, Depth{}, 22), nil},
		{"no gas", past(0, M(30), 22), nil},
		{"one of two gases", past(32, M(30), 22), func(d *Diver) { d.Past = append(d.Past, past(0, M(30), 22)) }},
		{"no interval", past(32, M(30), 22), func(d *Diver) { d.Cylinders[0].Dive.Interval = math.NaN() }},
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

func TestAFirstDiveOffTheTableLeavesTheClockUnknown(t *testing.T) {
	v := secondDive(past(40, M(35), 22), nil)
	if f := findingOf(t, v, RuleOxygenClock); f.Case != "day-unknown" || v.Numbers[0].CNS.Known {
		t.Errorf("got %s, %v", f.Case, v.Numbers[0].CNS)
	}
}

// TestOxygenCreditIsAPolicy: none by default; with it, half of the first
// dive's single-exposure clock is left after 90 minutes, and nothing else moves.
func TestOxygenCreditIsAPolicy(t *testing.T) {
	p, d := plain()
	d.Past = []Cylinder{past(32, M(30), 22)}
	c := &d.Cylinders[0]
	c.Readings, c.Dive.Number, c.Dive.Depth, c.Dive.Minutes, c.Dive.Interval = []Reading{read(32)}, 2, M(18), 40, 90
	without := Assess(p, d, start).Numbers[0]
	p.OxygenCredit = true
	with := Assess(p, d, start).Numbers[0]
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
		v := secondDive(past(32, M(30), 22), func(d *Diver) { d.Cylinders[0].Dive.Interval = interval })
		if got := v.Numbers[0].NoStop.Minutes; got < last {
			t.Errorf("%v min at the surface: %v, less than %v", interval, got, last)
		} else {
			last = got
		}
	}
}
