package gas

func bottom(o2 Percent, bottom Depth, bottomless bool) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		c.Evidence, d.Dive.Bottom, d.Dive.Bottomless = Read(o2), bottom, bottomless
	}
}

var bottomExamples = []example{
	{name: "not given", want: bottomNotGiven},
	{name: "within", set: bottom(32, M(33), false), want: bottomWithin,
		more: depths(M(33), M(33), Finding{PPO2: 1.376})},
	{name: "between label and MOD", set: bottom(32, M(33.5), false), want: bottomDeeper,
		more: depths(M(33.5), M(33), Finding{PPO2: 1.392, MaxDepth: M(33)})},
	{name: "deeper", set: bottom(32, M(36), false), want: bottomDeeper,
		more: depths(M(36), M(33), Finding{PPO2: 1.472, MaxDepth: M(33)})},
	{name: "none in reach", set: bottom(32, Depth{}, true), want: bottomBottomless,
		more: Finding{Limit: Of(33), Unit: "m", MaxDepth: M(33)}},
	{name: "deeper than the qualification, not than the label",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			bottom(32, M(32), false)(p, d, c)
			d.DepthLimit = M(30)
		},
		want: bottomDeeper, more: depths(M(32), M(30), Finding{PPO2: 0.32 * 4.2, MaxDepth: M(30)})},
	{name: "nothing read, and deeper than the policy's deepest",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Bottom, c.Evidence = M(45), Evidence{} },
		want: bottomDeeper, more: depths(M(45), M(40), Finding{MaxDepth: M(40)})},
	{name: "nothing known that limits",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			p.Deepest, d.Dive.Bottom, c.Evidence = Depth{}, M(36), Evidence{}
		},
		want: bottomNotRead},
}
