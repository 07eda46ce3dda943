package gas

import (
	"math"
	"testing"
)

// ordered is a cylinder asked for as one blend and filled as another.
func ordered(asked, is Percent, deep Depth, minutes float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		c.Asked, c.Evidence, d.Dive.Depth, d.Dive.Minutes = asked, Read(is), deep, minutes
	}
}

// compared are the numbers of rule lean at 30 m: the no-stop times of what is
// and of what was asked.
func compared(is, asked Percent, more Finding) Finding {
	a, b := Place{}.NoStopTime(is, M(30), 85).Minutes, Place{}.NoStopTime(asked, M(30), 85).Minutes
	more.Measured, more.Limit, more.Margin, more.Unit, more.Other = Of(a), Of(b), Of(a-b), "min", asked
	return more
}

// outOfTime is a dive after a long one, for which 24.7 % leaves no time at all; 36 % would
// leave as many minutes as it does where it is what was read.
var (
	outOfTime = Diver{Card: CardSeen, Dive: Dive{Number: 1, Place: Place{Unit: Feet}, Depth: Ft(39), Minutes: 20,
		Interval: 60},
		Before:    []Leg{{Number: 1, Place: Place{Unit: Feet}, Depth: Ft(130), Minutes: 60, Lean: 24.7, Rich: 24.7}},
		Cylinders: []Cylinder{{Evidence: Read(36)}}}
	askedLasts = Assess(DefaultPolicy(Feet), outOfTime).Numbers[0].NoStop.Minutes
)

var leanExamples = []example{
	{name: "as asked", set: ordered(32, 32, M(30), 0), want: leanNot, more: compared(32, 32, Finding{})},
	{name: "richer", set: ordered(32, 33, M(30), 22), want: leanNot, more: compared(33, 32, Finding{})},
	{name: "a tenth leaner costs no whole minute", set: ordered(32, 31.9, M(30), 22), want: leanNot,
		more: compared(31.9, 32, Finding{})},
	{name: "1.4 leaner", set: ordered(32, 30.6, M(30), 20), want: leanCosts, more: compared(30.6, 32, Finding{})},
	{name: "1.4 leaner, and the plan doesn't fit any more", set: ordered(32, 30.6, M(30), 24), want: leanPlan,
		more: compared(30.6, 32, Finding{MaxMinutes: 22})},
	{name: "1.4 leaner, but the plan never fitted", set: ordered(32, 30.6, M(30), 30), want: leanCosts,
		more: compared(30.6, 32, Finding{})},
	{name: "no minutes planned", set: ordered(32, 30.6, M(30), 0), want: leanCosts, more: compared(30.6, 32, Finding{})},
	{name: "the blend asked for had no limit", set: ordered(40, 21, M(8), 0), want: leanUnlimited,
		more: Finding{Measured: Of(Place{}.NoStopTime(21, M(8), 85).Minutes), Unit: "min", Other: 40}},
	{name: "the blend asked for had no limit, and the plan doesn't fit any more", set: ordered(40, 21, M(8), 900),
		want: leanPlan,
		more: Finding{Measured: Of(Place{}.NoStopTime(21, M(8), 85).Minutes), Unit: "min", Other: 40,
			MaxMinutes: math.Floor(Place{}.NoStopTime(21, M(8), 85).Minutes)}},
	{name: "no time is left at all", set: func(_ *Policy, d *Diver, c *Cylinder) {
		d.Dive, d.Before = outOfTime.Dive, outOfTime.Before
		c.Asked, c.Evidence = 36, Read(24.7)
	}, want: leanNoTime, more: Finding{Measured: Of(0), Limit: Of(askedLasts), Margin: Of(-askedLasts), Unit: "min",
		Other: 36}},
	{name: "neither has a limit", set: ordered(40, 32, M(3), 0), want: leanNot, more: Finding{Other: 40}},
	{name: "nothing asked",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Asked = 0 },
		want: leanNotAsked},
	{name: "dived yesterday",
		set:  func(_ *Policy, d *Diver, _ *Cylinder) { d.OwnComputer = true },
		want: leanOwn},
	{name: "dived yesterday, and the plan doesn't fit any more",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			ordered(32, 30.6, M(30), 24)(p, d, c)
			d.OwnComputer = true
		},
		want: leanOwnPlan, more: Finding{Other: 32}},
	{name: "an earlier dive of unknown length", set: after(32, M(30), 0, 60), want: leanUnknown},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: leanNotRead},
}

// After a long dive there is no time left with what is in the cylinder, and the blend asked for would have given the
// planned minutes: the leaner gas costs the plan, and no-stop breaks it.
func TestLeanCostsAllTheTime(t *testing.T) {
	d := Diver{Card: CardSeen, Dive: Dive{Number: 1, Place: Place{Unit: Feet}, Depth: Ft(39), Minutes: 20,
		Interval: 60},
		Before:    []Leg{{Number: 1, Place: Place{Unit: Feet}, Depth: Ft(130), Minutes: 60, Lean: 24.7, Rich: 24.7}},
		Cylinders: []Cylinder{{Asked: 36, Evidence: Read(24.7)}}}
	v := Assess(DefaultPolicy(Feet), d)
	if v.SeverityOf(RuleLean) != Limits || v.SeverityOf(RuleNoStop) != Stop {
		t.Errorf("lean %v, no-stop %v", v.SeverityOf(RuleLean), v.SeverityOf(RuleNoStop))
	}
	for _, f := range v.Findings {
		if f.Rule == RuleLean && f.Do != noStopNone.Do {
			t.Errorf("to do: %q", f.Do)
		}
	}
}
