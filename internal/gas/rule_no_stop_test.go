package gas

import "math"

func timed(minutes float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Minutes, c.Evidence = minutes, Read(32) }
}

// after puts an earlier dive of the plain diver's gas before the plain one.
func after(o2 Percent, deep Depth, minutes, interval float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		d.Before = []Leg{{Depth: deep, Minutes: minutes, Rich: o2, Lean: o2}}
		d.Dive.Minutes, d.Dive.Interval = 22, interval
		c.Evidence = Read(32)
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
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, d.Dive.Minutes = undecided(32), 24
		},
		want: noStopOver, more: mins(24, Place{}.NoStopTime(31.5, M(30), 85).Minutes, Finding{MaxMinutes: 23})},
	{name: "the leaner of two readings counts",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, d.Dive.Minutes = readings(31.5, 32), 24
		},
		want: noStopOver, more: mins(24, Place{}.NoStopTime(31.5, M(30), 85).Minutes, Finding{MaxMinutes: 23})},
	{name: "3 m has no limit",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Minutes, d.Dive.Depth = 600, M(3) },
		want: noStopUnlimited, more: Finding{Measured: Of(600), Unit: "min"}},
	{name: "90 m with GF 30 has no time at all",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			p.GF, d.Dive.Minutes, d.Dive.Depth, c.Evidence = 30, 10, M(90), Read(21)
		},
		want: noStopNone, more: mins(10, 0, Finding{})},
	{name: "no minutes planned", want: noStopLacks[timeNotGiven]},
	{name: "minutes that are no number", set: timed(math.NaN()), want: noStopLacks[timeNotGiven]},
	{name: "dived yesterday",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.OwnComputer, d.Dive.Minutes = true, 22 },
		want: noStopOwn},
	{name: "dived yesterday, and too long even for who did not",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			d.OwnComputer, d.Dive.Minutes, c.Evidence = true, 25, Read(32)
		},
		want: noStopOwnOver},
	{name: "dived yesterday, and no time at all",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			d.OwnComputer, p.GF, d.Dive.Minutes, d.Dive.Depth, c.Evidence = true, 30, 10, M(90), Read(21)
		},
		want: noStopNone, more: mins(10, 0, Finding{})},
	{name: "an earlier dive of unknown length", set: after(32, M(30), 0, 60), want: noStopLacks[timeDayUnknown]},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence, d.Dive.Minutes = Evidence{}, 22 },
		want: noStopLacks[timeNotRead]},
}
