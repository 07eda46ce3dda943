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
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence = Read(34.1)
			c.Deviation = Deviation{Known: true, Off: 2.1, Asked: 32, Replanned: true}
		},
		want: askedReplanned, more: points(2.1, 2, -0.1, 32)},
	{name: "planned again doesn't silence a small difference",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence = Read(33.5)
			c.Deviation = Deviation{Known: true, Off: 1.5, Asked: 32, Replanned: true}
		},
		want: askedRicher, more: points(1.5, 1, -0.5, 32)},
	{name: "air asked, 20.9 read",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, c.Asked = Read(20.9), Air
		},
		want: askedNear, more: points(-0.1, 1, 0.9, Air)},
	{name: "a tighter policy",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			p.Tolerance, c.Evidence = 0.5, Read(32.6)
		},
		want: askedRicher, more: points(0.6, 0.5, -0.1, 32)},
	{name: "nothing asked",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Asked = 0 },
		want: askedNothing},
	{name: "only somebody else read it",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence, c.Counting = Read(35), nil },
		want: askedNotRead},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: askedNotRead},
}
