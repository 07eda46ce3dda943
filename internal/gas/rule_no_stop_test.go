package gas

import "math"

func timed(minutes float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Dive.Minutes, c.Readings = minutes, []Reading{read(32)} }
}

// after puts an earlier dive of the plain diver's gas before the plain one.
func after(o2 Percent, d Depth, minutes, interval float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, dv *Diver, c *Cylinder) {
		dv.Past = []Cylinder{{Readings: []Reading{read(o2)}, Dive: Dive{Number: 0, Depth: d, Minutes: minutes}}}
		c.Dive.Minutes, c.Dive.Interval = 22, interval
		c.Readings = []Reading{read(32)}
	}
}

func mins(measured, limit float64, more Finding) Finding {
	more.Measured, more.Limit, more.Margin, more.Unit = Of(measured), Of(limit), Of(limit-measured), "min"
	return more
}

// ndl30 is the no-stop time of 32 % at 30 m with GF 85, which
// TestNoStopTime holds to the published 24.30.
var ndl30 = Place{}.NoStopTime(32, M(30), 85).Minutes

var noStopExamples = []example{
	{name: "22 of 24 minutes", set: timed(22), want: noStopWithin, more: mins(22, ndl30, Finding{})},
	{name: "24 of 24 minutes", set: timed(24), want: noStopWithin, more: mins(24, ndl30, Finding{})},
	{name: "24.2 of 24.3 minutes, of which 24 are shown", set: timed(24.2), want: noStopOver,
		more: mins(24.2, ndl30, Finding{MaxMinutes: 24})},
	{name: "30 of 24 minutes", set: timed(30), want: noStopOver, more: mins(30, ndl30, Finding{MaxMinutes: 24})},
	{name: "no decimals: half a point less",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings, c.Dive.Minutes = []Reading{{Percent: 32, At: morning, By: ByDiver, Shown: ShownNoDecimal}}, 24
		},
		want: noStopOver, more: mins(24, Place{}.NoStopTime(31.5, M(30), 85).Minutes, Finding{MaxMinutes: 23})},
	{name: "the leaner of two readings counts",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings, c.Dive.Minutes = []Reading{read(31.5), read(32)}, 24
		},
		want: noStopOver, more: mins(24, Place{}.NoStopTime(31.5, M(30), 85).Minutes, Finding{MaxMinutes: 23})},
	{name: "at the leader's depth",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			d.SetDepth, c.Dive.Minutes, c.Readings = M(25), 30, []Reading{read(32)}
		},
		want: noStopWithin, more: mins(30, Place{}.NoStopTime(32, M(25), 85).Minutes, Finding{})},
	{name: "3 m has no limit",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Dive.Minutes, c.Dive.Depth = 600, M(3) },
		want: noStopUnlimited, more: Finding{Measured: Of(600), Unit: "min"}},
	{name: "90 m with GF 30 has no time at all",
		set: func(p *Policy, _ *Diver, c *Cylinder) {
			p.GF, c.Dive.Minutes, c.Dive.Depth, c.Readings = 30, 10, M(90), []Reading{read(21)}
		},
		want: noStopNone, more: mins(10, 0, Finding{})},
	{name: "no minutes planned", want: noStopLacks[timeNotGiven]},
	{name: "minutes that are no number", set: timed(math.NaN()), want: noStopLacks[timeNotGiven]},
	{name: "dived yesterday",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.OwnComputer, c.Dive.Minutes = true, 22 },
		want: noStopLacks[timeOwn]},
	{name: "an earlier dive of unknown length", set: after(32, M(30), 0, 60), want: noStopLacks[timeDayUnknown]},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings, c.Dive.Minutes = nil, 22 },
		want: noStopLacks[timeNotRead]},
}
