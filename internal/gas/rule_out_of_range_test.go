package gas

func gasOf(p Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Read(p) }
}

func percents(measured, limit, margin float64) Finding {
	return Finding{Measured: Of(measured), Limit: Of(limit), Margin: Of(margin), Unit: "percent"}
}

var outOfRangeExamples = []example{
	{name: "32.1", want: rangeIn, more: percents(32.1, 40, 7.9)},
	{name: "exactly 40", set: gasOf(40), want: rangeIn, more: percents(40, 40, 0)},
	{name: "40.1", set: gasOf(40.1), want: rangeHigh, more: percents(40.1, 40, -0.1)},
	{name: "exactly 20", set: gasOf(20), want: rangeIn, more: percents(20, 40, 20)},
	{name: "19.9", set: gasOf(19.9), want: rangeLow, more: percents(19.9, 20, -0.1)},
	{name: "2.3, a dying cell", set: gasOf(2.3), want: rangeLow, more: percents(2.3, 20, -17.7)},
	{name: "each number as it was shown: 40 without decimals",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = undecided(40) },
		want: rangeIn, more: percents(40, 40, 0)},
	{name: "one of two", set: func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = readings(19.9, 32) },
		want: rangeLow, more: percents(19.9, 20, -0.1)},
	{name: "a stricter policy",
		set:  func(p *Policy, _ *Diver, _ *Cylinder) { p.MaxO2 = 32 },
		want: rangeHigh, more: percents(32.1, 32, -0.1)},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: rangeNone},
}
