package gas

func measuredAs(s MeasuredState, p Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Measured = Measured{State: s, Percent: p} }
}

func measuredOf(p float64) Finding { return Finding{Measured: Of(p), Unit: "percent", Other: 32} }

var measuredExamples = []example{
	{name: "32.1", set: measuredAs(MeasuredPlain, 32.1), want: measuredPlain, more: measuredOf(32.1)},
	{name: "32 is what was asked", set: measuredAs(MeasuredRound, 32), want: measuredRound, more: measuredOf(32)},
	{name: "32 and said to be shown", set: measuredAs(MeasuredConfirmed, 32), want: measuredConfirmed,
		more: measuredOf(32)},
	{name: "32 on an analyser without decimals", set: measuredAs(MeasuredWhole, 32), want: measuredWhole,
		more: measuredOf(32)},
	{name: "hurried", set: measuredAs(MeasuredHurried, 31.8), want: measuredHurried, more: measuredOf(31.8)},
	{name: "a state nobody defined", set: measuredAs(99, 31.8), want: measuredHurried, more: measuredOf(31.8)},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: measuredNotRead},
}
