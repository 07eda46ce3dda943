package gas

func points(measured, limit, margin float64, other Percent) Finding {
	return Finding{Measured: Of(measured), Limit: Of(limit), Margin: Of(margin), Unit: "points", Other: other}
}

var askedExamples = []example{
	{name: "as asked", want: askedNear, more: points(0.1, 1, 0.9, 32)},
	{name: "exactly one point", set: gasOf(33), want: askedNear, more: points(1, 1, 0, 32)},
	{name: "1.1 richer", set: gasOf(33.1), want: askedRicher, more: points(1.1, 1, -0.1, 32)},
	{name: "1.4 leaner", set: gasOf(30.6), want: askedLeaner, more: points(-1.4, 1, -0.4, 32)},
	{name: "exactly two points", set: gasOf(34), want: askedRicher, more: points(2, 1, -1, 32)},
	{name: "2.1 richer", set: gasOf(34.1), want: askedFar, more: points(2.1, 2, -0.1, 32)},
	{name: "2.1 leaner", set: gasOf(29.9), want: askedFar, more: points(-2.1, 2, -0.1, 32)},
	{name: "planned again",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings, c.Replanned = []Reading{read(34.1)}, true
		},
		want: askedReplanned, more: points(2.1, 2, -0.1, 32)},
	{name: "planned again doesn't silence a small difference",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings, c.Replanned = []Reading{read(33.5)}, true
		},
		want: askedRicher, more: points(1.5, 1, -0.5, 32)},
	{name: "air asked, 20.9 read",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings, c.Asked = []Reading{read(20.9)}, Air
		},
		want: askedNear, more: points(-0.1, 1, 0.9, Air)},
	{name: "a tighter policy",
		set: func(p *Policy, _ *Diver, c *Cylinder) {
			p.Tolerance, c.Readings = 0.5, []Reading{read(32.6)}
		},
		want: askedRicher, more: points(0.6, 0.5, -0.1, 32)},
	{name: "nothing asked",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Asked = 0 },
		want: askedNothing},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: askedNotRead},
}
