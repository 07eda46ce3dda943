package gas_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/gas/gastest"
)

// rank orders the verdicts from best to worst.
func rank(s gas.Status) int {
	return slices.Index([]gas.Status{gas.Go, gas.GoWithLimits, gas.NotCleared, gas.NoGo}, s)
}

func TestAddingAFindingNeverImprovesAVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := gas.Assess(gastest.Policy(t), gastest.Diver(t))
		before := v.Status()
		v.Findings = append(v.Findings, gas.Finding{Rule: "another",
			Severity: gas.Severity(rapid.IntRange(0, 9).Draw(t, "severity"))})
		if after := v.Status(); rank(after) < rank(before) {
			t.Fatalf("from %v to %v", before, after)
		}
	})
}

func TestARicherMixNeverGetsADeeperMOD(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := gastest.Place(t)
		limit := gas.PPO2(rapid.Float64Range(1, 1.6).Draw(t, "limit"))
		lean := gas.Percent(rapid.Float64Range(0.1, 100).Draw(t, "lean"))
		rich := gas.Percent(rapid.Float64Range(float64(lean), 100).Draw(t, "rich"))
		a, b := place.MOD(lean, limit), place.MOD(rich, limit)
		if b.DeeperThan(a) || b.Floor().DeeperThan(a.Floor()) {
			t.Fatalf("%v %%: %v, %v %%: %v", lean, a, rich, b)
		}
	})
}

func TestARicherReadingNeverGetsABetterDepthVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, dive := gastest.Policy(t), gastest.Dive(t, 1, gastest.Place(t))
		lean := rapid.IntRange(200, 400).Draw(t, "lean")
		rich := rapid.IntRange(lean, 420).Draw(t, "rich")
		status := func(tenths int) gas.Status {
			c := gas.Cylinder{Key: "c", Evidence: gas.Read(gas.Percent(tenths) / 10)}
			v := gas.Assess(p, gas.Diver{Card: gas.CardSeen, Dive: dive, Cylinders: []gas.Cylinder{c}})
			v.Findings = slices.DeleteFunc(v.Findings, func(f gas.Finding) bool { return !depthRules[f.Rule] })
			return v.Status()
		}
		if a, b := status(lean), status(rich); rank(b) < rank(a) {
			t.Fatalf("%v %% tenths: %v, %v: %v", lean, a, rich, b)
		}
	})
}

var depthRules = map[gas.Rule]bool{gas.RuleDepth: true, gas.RuleBottom: true, gas.RuleContingency: true}

func TestPressureGrowsWithDepthAndFraction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := gastest.Place(t)
		shallow := rapid.Float64Range(0, 300).Draw(t, "shallow")
		deep := rapid.Float64Range(shallow, 300).Draw(t, "deep")
		lean := gas.Percent(rapid.Float64Range(1, 100).Draw(t, "lean"))
		rich := gas.Percent(rapid.Float64Range(float64(lean), 100).Draw(t, "rich"))
		at := func(o2 gas.Percent, d float64) gas.PPO2 { return place.PPO2(o2, gas.Depth{Value: d, Unit: place.Unit}) }
		if at(lean, deep) < at(lean, shallow) || at(rich, shallow) < at(lean, shallow) {
			t.Fatalf("%v %%, %v %%, %v, %v", lean, rich, shallow, deep)
		}
	})
}

// ofDiver are the rules that look at the diver and not at one cylinder.
var ofDiver = map[gas.Rule]bool{gas.RuleDeepest: true, gas.RuleDepthLimit: true, gas.RuleSetLimit: true,
	gas.RuleTeam:        true,
	gas.RuleDivedBefore: true, gas.RuleNoCylinder: true, gas.RuleLeft: true, gas.RuleSpeak: true}

// TestEveryRuleSpeaksAndStaysWithinItsOutcomes: one finding for each rule and
// cylinder, and for each rule over the diver, each of them one of gas.Outcomes;
// without a cylinder the oxygen clock looks at the dives before.
func TestEveryRuleSpeaksAndStaysWithinItsOutcomes(t *testing.T) {
	known, rules := map[gas.Outcome]bool{}, map[gas.Rule]bool{}
	for _, o := range gas.Outcomes() {
		known[o], rules[o.Rule] = true, true
	}
	rapid.Check(t, func(t *rapid.T) {
		d := gastest.Diver(t)
		v := gas.Assess(gastest.Policy(t), d)
		if len(v.Numbers) != len(d.Cylinders) {
			t.Fatalf("%d numbers of %d cylinders", len(v.Numbers), len(d.Cylinders))
		}
		got := map[gas.Rule]int{}
		for _, f := range v.Findings {
			got[f.Rule]++
			if !known[gas.Outcome{Rule: f.Rule, Case: f.Case, Severity: f.Severity, Do: f.Do, Source: f.Source}] {
				t.Fatalf("not an outcome: %+v", f)
			}
		}
		for rule := range rules {
			want := len(d.Cylinders)
			switch {
			case ofDiver[rule]:
				want = 1
			case rule == gas.RuleOxygenClock && want == 0 && d.Needed:
				want = 1 // the oxygen of the dives before
			}
			if got[rule] != want {
				t.Fatalf("rule %s: %d findings of %d cylinders, want %d; ofDiver names those that look at the diver (%v)",
					rule, got[rule], len(d.Cylinders), want, ofDiver[rule])
			}
		}
	})
}

// TestShownNumbersNeverContradictTheVerdict looks at what a reader sees: whole
// depths rounded down, planned depths as given.
func TestShownNumbersNeverContradictTheVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := gastest.Diver(t)
		v := gas.Assess(gastest.Policy(t), d)
		for i, c := range d.Cylinders {
			checkShown(t, v, v.Numbers[i], v.StatusOf(c.Key), d.Dive.Depth)
		}
		if s := v.Status(); s == gas.Go && v.Max.Known() && d.Dive.Depth.PlannedIn(d.Dive.Place.Unit).DeeperThan(v.Max) {
			t.Fatalf("a go to %v with a max of %v", d.Dive.Depth, v.Max)
		}
	})
}

func checkShown(t *rapid.T, v gas.Verdict, n gas.Numbers, s gas.Status, depth gas.Depth) {
	switch s {
	case gas.Go:
		if depth.DeeperThan(n.Label) {
			t.Fatalf("a go to %v with a label of %v", depth, n.Label)
		}
		if n.MaxDepth.Known() || n.MaxMinutes > 0 {
			t.Fatalf("a go with limits %v, %v min", n.MaxDepth, n.MaxMinutes)
		}
	case gas.GoWithLimits:
		if n.MaxDepth.Known() && n.MaxDepth.DeeperThan(n.Label) && depth.DeeperThan(n.Label) {
			t.Fatalf("a limit of %v with a label of %v", n.MaxDepth, n.Label)
		}
	}
	if (s == gas.Go || s == gas.GoWithLimits) && n.Computer > n.Lean {
		t.Fatalf("computer at %v with %v in the cylinder", n.Computer, n.Lean)
	}
	if n.Rich < n.Lean {
		t.Fatalf("rich %v, lean %v", n.Rich, n.Lean)
	}
	for _, f := range v.Findings {
		if f.Severity == gas.Limits && f.MaxDepth.Known() && f.Cylinder == n.Cylinder && n.MaxDepth.DeeperThan(f.MaxDepth) {
			t.Fatalf("shown %v, found %v", n.MaxDepth, f.MaxDepth)
		}
	}
}

// TestTheBestMixFitsAndTheNextDoesNot.
func TestTheBestMixFitsAndTheNextDoesNot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, place := gastest.Policy(t), gastest.Place(t)
		d := gas.Depth{Value: rapid.Float64Range(1, 200).Draw(t, "depth"), Unit: place.Unit}
		best := place.BestMix(d, p.PPO2, p.MaxO2)
		if best >= 1 && d.Value > place.MOD(best, p.PPO2).Value+1e-6 {
			t.Fatalf("%v %% is no fit at %v", best, d)
		}
		if best+1 <= p.MaxO2 && d.Value < place.MOD(best+1, p.PPO2).Value-1e-6 {
			t.Fatalf("%v %% would fit at %v too", best+1, d)
		}
	})
}

// TestRichestFittingSaysWhatTheCheckSays: the richest whole percentage that fits is the last that is no no-go, of those
// up to the richest that the policy covers.
func TestRichestFittingSaysWhatTheCheckSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, dive := gastest.Policy(t), gastest.Dive(t, 1, gastest.Place(t))
		dive.Minutes = 0
		goes := func(o2 gas.Percent) bool {
			c := gas.Cylinder{Key: "c", Evidence: gas.Read(o2)}
			v := gas.Assess(p, gas.Diver{Card: gas.CardSeen, Dive: dive, Cylinders: []gas.Cylinder{c}})
			return v.Status() == gas.Go || v.Status() == gas.GoWithLimits
		}
		var margin, atAll gas.Percent
		for o2 := gas.Air; o2 <= p.MaxO2; o2++ {
			if goes(o2) {
				atAll = o2
			}
			if goes(o2 + 1) { // a fill comes out a point rich
				margin = o2
			}
		}
		if m, a := gas.RichestFitting(p, dive); m != margin || a != atAll {
			t.Fatalf("got %v and %v, the check says %v and %v", m, a, margin, atAll)
		}
	})
}

// checkNumbers holds a verdict to having no NaN or infinity anywhere: JSON has
// no words for them.
func checkNumbers(t interface{ Fatalf(string, ...any) }, v gas.Verdict) {
	if _, err := json.Marshal(v); err != nil {
		t.Fatalf("a number that is none: %v", err)
	}
}

func TestNoInputLeadsToPanicOrNaN(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := gastest.Diver(t)
		p := gastest.Policy(t)
		if rapid.IntRange(0, 9).Draw(t, "break policy") == 0 {
			p = gas.Policy{PPO2: gas.PPO2(rapid.Float64().Draw(t, "any ppo2"))}
		}
		checkNumbers(t, gas.Assess(p, d))
	})
}

// FuzzAssess gives the check any bits as numbers, after an earlier dive.
func FuzzAssess(f *testing.F) {
	f.Add(32.0, 30.0, 34.0, 32.0, 0.0, 18.0, 22.0, 60.0, 2.0, false)
	f.Add(36.0, 110.0, 0.0, 36.0, 1500.0, 0.0, 0.0, 0.0, 7.0, true)
	f.Fuzz(func(t *testing.T, o2, depth, bottom, asked, altitude, set, minutes, interval, co float64, feet bool) {
		u := gas.Metres
		if feet {
			u = gas.Feet
		}
		c := gas.Cylinder{Key: "c", Asked: gas.Percent(asked), Evidence: gas.Read(gas.Percent(o2))}
		c.CO = gas.Amount{Value: co, Known: true}
		d := gas.Diver{Set: gas.Limit{Depth: gas.M(set), Minutes: minutes}, DepthLimit: gas.Ft(bottom),
			Cylinders: []gas.Cylinder{c},
			Dive: gas.Dive{Number: 2, Place: gas.Place{Unit: u, Altitude: altitude}, Depth: gas.Depth{Value: depth, Unit: u},
				Bottom: gas.Depth{Value: bottom, Unit: u}, Minutes: minutes, Interval: interval, Start: gastest.Start}}
		d.Before = []gas.Leg{{Number: 1, Place: d.Dive.Place, Depth: d.Dive.Depth, Minutes: minutes, Rich: gas.Percent(o2),
			Lean: gas.Percent(asked)}}
		checkNumbers(t, gas.Assess(gas.DefaultPolicy(u), d))
		gas.RichestFitting(gas.DefaultPolicy(u), d.Dive)
	})
}

// FuzzPhysics gives every formula any bits: no panic, no number that is none,
// nothing negative.
func FuzzPhysics(f *testing.F) {
	f.Add(32.0, 30.0, 22.0, 85.0, 0.0, 30.0, 80.0, false, false)
	f.Add(21.0, 190.0, 1e6, 100.0, 2999.0, -40.0, 100.0, true, true)
	f.Fuzz(func(t *testing.T, o2, depth, minutes, gf, altitude, celsius, humidity float64, feet, fresh bool) {
		p := gas.Place{Altitude: altitude}
		if feet {
			p.Unit = gas.Feet
		}
		if fresh {
			p.Water = gas.Fresh
		}
		d := gas.Depth{Value: depth, Unit: p.Unit}
		o, _ := p.OxygenOf(gas.Percent(o2), d, minutes)
		for name, v := range map[string]float64{
			"no-stop": p.NoStopTime(gas.Percent(o2), d, gf).Minutes, "navy": p.NavyNoStop(gas.Percent(o2), d).Minutes,
			"CNS": o.CNS, "CNS in 24 h": o.CNS24, "OTU": o.OTU,
			"air": float64(gas.Weather{Celsius: celsius, Humidity: humidity, Known: true}.Oxygen(altitude)),
		} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Errorf("%s: %v", name, v)
			}
		}
	})
}
