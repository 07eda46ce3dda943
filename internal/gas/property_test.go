package gas_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/gas/gastest"
)

// rank orders the verdicts from best to worst.
func rank(s gas.Status) int {
	return slices.Index([]gas.Status{gas.Go, gas.GoWithLimits, gas.NoReading, gas.NoGo}, s)
}

func TestAddingAFindingNeverImprovesAVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := gas.Assess(gastest.Policy(t), gastest.Diver(t), gastest.Start)
		before := v.Status()
		v.Findings = append(v.Findings, gas.Finding{Rule: "another", Severity: gas.Severity(rapid.IntRange(0, 7).Draw(t, "severity"))})
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
			c := gas.Cylinder{Key: "c", Dive: dive, Readings: []gas.Reading{{Percent: gas.Percent(tenths) / 10, By: gas.ByDiver}}}
			v := gas.Assess(p, gas.Diver{Card: gas.CardSeen, Cylinders: []gas.Cylinder{c}}, gastest.Start)
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

// TestEveryRuleSpeaksAndStaysWithinItsOutcomes: one finding for each rule and
// cylinder, each of them one of gas.Outcomes.
func TestEveryRuleSpeaksAndStaysWithinItsOutcomes(t *testing.T) {
	known, rules := map[gas.Outcome]bool{}, map[gas.Rule]bool{}
	for _, o := range gas.Outcomes() {
		known[o], rules[o.Rule] = true, true
	}
	rapid.Check(t, func(t *rapid.T) {
		d := gastest.Diver(t)
		v := gas.Assess(gastest.Policy(t), d, gastest.Start)
		if len(v.Findings) != len(rules)*len(d.Cylinders) || len(v.Numbers) != len(d.Cylinders) {
			t.Fatalf("%d findings and %d numbers of %d cylinders", len(v.Findings), len(v.Numbers), len(d.Cylinders))
		}
		for _, f := range v.Findings {
			if !known[gas.Outcome{Rule: f.Rule, Case: f.Case, Severity: f.Severity, Do: f.Do, Source: f.Source}] {
				t.Fatalf("not an outcome: %+v", f)
			}
		}
	})
}

// TestShownNumbersNeverContradictTheVerdict looks at what a reader sees: whole
// depths rounded down, planned depths as given.
func TestShownNumbersNeverContradictTheVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := gastest.Diver(t)
		v := gas.Assess(gastest.Policy(t), d, gastest.Start)
		for i, c := range d.Cylinders {
			checkShown(t, v, v.Numbers[i], v.StatusOf(c.Key, c.Dive.Number), checkedDepth(d, c))
		}
	})
}

// checkedDepth is the depth that a cylinder is to be checked for.
func checkedDepth(d gas.Diver, c gas.Cylinder) gas.Depth {
	set := d.SetDepth
	if set.Value > 0 && set.Value <= 1000 && c.Dive.Depth.DeeperThan(set) {
		return set
	}
	return c.Dive.Depth
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

// TestKeepSaysWhatTheCheckSays: the table for no signal and the check agree on
// every whole percentage.
func TestKeepSaysWhatTheCheckSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, dive := gastest.Policy(t), gastest.Dive(t, 1, gastest.Place(t))
		dive.Minutes = 0
		bands := gas.Keep(p, dive)
		for o2 := gas.Percent(21); bands != nil && o2 <= 45; o2++ {
			c := gas.Cylinder{Key: "c", Dive: dive, Readings: []gas.Reading{{Percent: o2, By: gas.ByDiver, Shown: gas.ShownDecimals}}}
			v := gas.Assess(p, gas.Diver{Card: gas.CardSeen, Cylinders: []gas.Cylinder{c}}, gastest.Start)
			b := bandFor(bands, o2)
			if b.Status != v.Status() || (b.Status != gas.NoGo && b.MaxDepth != v.Numbers[0].MaxDepth) {
				t.Fatalf("%v %%: table %v %v, check %v %v", o2, b.Status, b.MaxDepth, v.Status(), v.Numbers[0].MaxDepth)
			}
		}
	})
}

func bandFor(bands []gas.Band, o2 gas.Percent) gas.Band {
	for _, b := range bands {
		if o2 >= b.From && (o2 <= b.To || b.To == 0) {
			return b
		}
	}
	return gas.Band{}
}

func TestASharedLimitNeverHidesWhatIsNotShared(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := gastest.Policy(t)
		var vs []*gas.Verdict
		for range rapid.IntRange(0, 4).Draw(t, "divers") {
			v := gas.Assess(p, gastest.Diver(t), gastest.Start)
			vs = append(vs, &v)
		}
		gas.ShareLimits(vs)
		for _, v := range vs {
			if own, lifted := v.Status(), v.StatusLifted(); own != lifted && (own != gas.GoWithLimits || lifted != gas.Go) {
				t.Fatalf("%v was lifted to %v", own, lifted)
			}
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
		v := gas.Assess(p, d, gastest.Start)
		checkNumbers(t, v)
		gas.ApplyTeam(1, []*gas.Verdict{&v})
		gas.ShareLimits([]*gas.Verdict{&v})
		checkNumbers(t, v)
	})
}

// FuzzAssess gives the check any bits as numbers, over two dives.
func FuzzAssess(f *testing.F) {
	f.Add(32.0, 30.0, 34.0, 32.0, 20.9, 0.0, 18.0, 22.0, 60.0, 2.0, 30.0, 80.0, false, int64(0))
	f.Add(36.0, 110.0, 0.0, 36.0, 0.0, 1500.0, 0.0, 0.0, 0.0, 7.0, -5.0, 0.0, true, int64(-1))
	f.Fuzz(func(t *testing.T, o2, depth, bottom, asked, airPoint, altitude, set, minutes, interval, co, celsius, humidity float64, feet bool, at int64) {
		u := gas.Metres
		if feet {
			u = gas.Feet
		}
		c := gas.Cylinder{Key: "c", Asked: gas.Percent(asked), CO: gas.Amount{Value: co, Known: true},
			Readings: []gas.Reading{{Percent: gas.Percent(o2), AirPoint: gas.Percent(airPoint), Replaced: gas.Percent(asked), At: time.Unix(at, 0),
				Weather: gas.Weather{Celsius: celsius, Humidity: humidity, Known: true}}},
			Dive: gas.Dive{Number: 1, Place: gas.Place{Unit: u, Altitude: altitude}, Depth: gas.Depth{Value: depth, Unit: u},
				Bottom: gas.Depth{Value: bottom, Unit: u}, Minutes: minutes, Start: gastest.Start}}
		second := c
		second.Key, second.Dive.Number, second.Dive.Interval = "d", 2, interval
		d := gas.Diver{SetDepth: gas.M(set), DepthLimit: gas.Ft(bottom), Cylinders: []gas.Cylinder{c, second}}
		checkNumbers(t, gas.Assess(gas.DefaultPolicy(), d, gastest.Start))
		d.Past, d.Cylinders = d.Cylinders[:1], d.Cylinders[1:]
		checkNumbers(t, gas.Assess(gas.DefaultPolicy(), d, gastest.Start))
		gas.Keep(gas.DefaultPolicy(), c.Dive)
		gas.RichestFitting(gas.DefaultPolicy(), c.Dive)
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
