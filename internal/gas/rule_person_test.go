package gas

func setOf(l Limit) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, _ *Cylinder) { d.Set, d.Dive.Minutes = l, 22 }
}

func teamOf(l Limit) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, _ *Cylinder) { d.Team, d.Dive.Minutes = l, 22 }
}

// What product rules say of the diver and not of a gas.
var personExamples = []example{
	{name: "a cylinder in use", set: func(_ *Policy, d *Diver, _ *Cylinder) { d.Needed = true }, want: hasCylinder},
	{name: "the only cylinder was moved away", want: noCylinder,
		set: func(_ *Policy, d *Diver, c *Cylinder) { d.Needed, c.LeftBehind = true, true }},
	{name: "no trip", want: needsCylinder},
	{name: "is there", want: isThere},
	{name: "left", set: func(_ *Policy, d *Diver, _ *Cylinder) { d.Left = true }, want: hasLeft},
	{name: "air", want: covered},
	{name: "helium was named", set: func(_ *Policy, d *Diver, _ *Cylinder) { d.Speak = true }, want: notCovered},
	{name: "not dived before", want: divedNot},
	{name: "dived yesterday", set: func(_ *Policy, d *Diver, _ *Cylinder) { d.OwnComputer = true }, want: divedYes},
	{name: "nothing asked about", want: questionNone},
	{name: "a number is asked about", set: func(_ *Policy, _ *Diver, c *Cylinder) { c.Question = true },
		want: questionOpen},
	{name: "as deep as allowed", set: func(_ *Policy, d *Diver, _ *Cylinder) { d.Dive.Depth = M(40) }, want: deepestWithin,
		more: depths(M(40), M(40), Finding{})},
	{name: "deeper than allowed", set: func(p *Policy, _ *Diver, _ *Cylinder) { p.Deepest = M(29) }, want: deepestBeyond,
		more: depths(M(30), M(29), Finding{})},
	{name: "no deepest", set: func(p *Policy, _ *Diver, _ *Cylinder) { p.Deepest = Depth{} }, want: deepestNotGiven},

	{name: "none", want: setLimit[limitNone]},
	{name: "as planned", set: setOf(Limit{M(30), 22}), want: setLimit[limitLoose]},
	{name: "shallower", set: setOf(Limit{M(25), 0}), want: setLimit[limitDepth],
		more: depths(M(30), M(25), Finding{MaxDepth: M(25)})},
	{name: "29.5 m is 29 m", set: setOf(Limit{M(29.5), 0}), want: setLimit[limitDepth],
		more: depths(M(30), M(29), Finding{MaxDepth: M(29)})},
	{name: "shorter", set: setOf(Limit{Depth{}, 20}), want: setLimit[limitTime], more: Finding{MaxMinutes: 20}},
	{name: "both", set: setOf(Limit{M(25), 20}), want: setLimit[limitBoth],
		more: depths(M(30), M(25), Finding{MaxDepth: M(25), MaxMinutes: 20})},
	{name: "none", want: teamLimit[limitNone]},
	{name: "as planned", set: teamOf(Limit{M(30), 22}), want: teamLimit[limitLoose]},
	{name: "shallower", set: teamOf(Limit{M(25), 0}), want: teamLimit[limitDepth],
		more: depths(M(30), M(25), Finding{MaxDepth: M(25)})},
	{name: "shorter", set: teamOf(Limit{Depth{}, 20}), want: teamLimit[limitTime], more: Finding{MaxMinutes: 20}},
	{name: "both", set: teamOf(Limit{M(25), 20}), want: teamLimit[limitBoth],
		more: depths(M(30), M(25), Finding{MaxDepth: M(25), MaxMinutes: 20})},
}
