package gas

func bottom(o2 Percent, bottom Depth, bottomless bool) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) {
		c.Readings, c.Dive.Bottom, c.Dive.Bottomless = []Reading{read(o2)}, bottom, bottomless
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
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Dive.Bottom, c.Readings = M(36), nil },
		want: bottomNotRead},
}
