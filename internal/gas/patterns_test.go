package gas

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func samples(analyser string, asked Percent, measured ...Percent) []Sample {
	var s []Sample
	for i, m := range measured {
		s = append(s, Sample{Cylinder: fmt.Sprint(analyser, i), Analyser: analyser, Asked: asked, Measured: m})
	}
	return s
}

func TestFindPatterns(t *testing.T) {
	join := func(all ...[]Sample) (s []Sample) {
		for _, a := range all {
			s = append(s, a...)
		}
		return s
	}
	for _, c := range []struct {
		name string
		s    []Sample
		want []Pattern
	}{
		{"nothing at all", nil, nil},
		{"all as asked", join(samples("A", 32, 32.1, 31.8, 32.3), samples("B", 36, 36.2, 35.9, 36)), nil},
		{"one analyser high", join(samples("A", 32, 32, 31.8, 32.2), samples("B", 32, 33.5, 33.6, 33.4)),
			[]Pattern{{Kind: AnalyserOff, Analyser: "B", Points: 1.5, Readings: 3}}},
		{"one analyser low, one fill on it odd",
			join(samples("A", 32, 32, 31.9, 32.1, 32), samples("B", 32, 30.5, 30.4, 30.6, 33)),
			[]Pattern{{Kind: AnalyserOff, Analyser: "B", Points: -1.45, Readings: 4},
				{Kind: FillOff, Cylinder: "B3", Points: 2.45, Readings: 1}}},
		{"two readings are too few to blame an analyser", join(samples("A", 32, 32, 32, 32), samples("B", 32, 34, 34)), nil},
		{"the bank, whatever the analyser", join(samples("A", 32, 33, 33.1, 32.9), samples("B", 36, 37, 36.9, 37.1)),
			[]Pattern{{Kind: BankOff, Points: 1, Readings: 6}}},
		{"one analyser on the trip can't tell itself from the bank", samples("A", 32, 33, 33.1, 32.9, 33),
			[]Pattern{{Kind: AnalyserOrBankOff, Analyser: "A", Points: 1, Readings: 4}}},
		{"nobody said which analyser", samples("", 32, 33, 33.1, 32.9, 33),
			[]Pattern{{Kind: BankOff, Points: 1, Readings: 4}}},
		{"one fill", samples("A", 32, 32, 32.1, 31.9, 34),
			[]Pattern{{Kind: FillOff, Cylinder: "A3", Points: 1.95, Readings: 1}}},
		{"three readings are too few to call one odd", samples("A", 32, 32, 32, 34), nil},
		{"air comes from no bank", samples("A", Air, 24, 24, 24, 24), nil},
		{"nothing asked or nothing read", join(samples("A", 0, 34, 34, 34, 34), samples("A", 32, 0, 0, 0, 0)), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, FindPatterns(c.s), near); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// trip simulates 12 cylinders read by 2 analysers in turn: fills and readings
// together with a standard deviation of 0.4 point, and what is wrong on top.
func trip(r *rand.Rand, analyser, bank, fill float64) []Sample {
	var s []Sample
	for i := range 12 {
		asked, name := Percent(32), "A"
		if i%3 == 0 {
			asked = 36
		}
		off := 0.4*r.NormFloat64() + bank
		if i%2 == 1 {
			name = "B"
			off += analyser
		}
		if i == 5 {
			off += fill
		}
		s = append(s, Sample{Cylinder: fmt.Sprint(i), Analyser: name, Asked: asked, Measured: asked + Percent(off)})
	}
	return s
}

// share is the part of simulated trips in which a pattern is found.
func share(trips int, analyser, bank, fill float64, found func(Pattern) bool) float64 {
	r := rand.New(rand.NewPCG(1, 2))
	n := 0
	for range trips {
		for _, p := range FindPatterns(trip(r, analyser, bank, fill)) {
			if found(p) {
				n++
				break
			}
		}
	}
	return float64(n) / float64(trips)
}

// TestPatternsOnSimulatedTrips: simulated data with known truth. False alarms
// of any kind in under 1 % of trips with nothing wrong; 1.5 points on one
// analyser found in at least 95 %.
func TestPatternsOnSimulatedTrips(t *testing.T) {
	isB := func(p Pattern) bool { return p.Kind == AnalyserOff && p.Analyser == "B" }
	if got := share(20000, 0, 0, 0, func(Pattern) bool { return true }); got >= 0.01 {
		t.Errorf("false alarms: %.2f %% of trips, want under 1", 100*got)
	} else {
		t.Logf("false alarms: %.2f %% of trips", 100*got)
	}
	for _, off := range []float64{1.5, -1.5} {
		if got := share(4000, off, 0, 0, isB); got < 0.95 {
			t.Errorf("%v points on one analyser: found in %.1f %% of trips, want 95", off, 100*got)
		}
	}
	if got := share(4000, 1.5, 0, 0, func(p Pattern) bool {
		return p.Kind == AnalyserOff &&
			p.Analyser == "A"
	}); got > 0.01 {
		t.Errorf("the other analyser is blamed in %.2f %% of trips", 100*got)
	}
	const curve = 1000
	t.Log("operating curve, % of trips found by points off: analyser, bank, fill")
	for _, off := range []float64{0.25, 0.5, 0.75, 1, 1.25, 1.5, 2, 3} {
		t.Logf("%5.2f %6.1f %6.1f %6.1f", off, 100*share(curve, off, 0, 0, isB),
			100*share(curve, 0, off, 0, func(p Pattern) bool { return p.Kind == BankOff }),
			100*share(curve, 0, 0, off, func(p Pattern) bool { return p.Kind == FillOff && p.Cylinder == "5" }))
	}
}
