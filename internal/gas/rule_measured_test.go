package gas

func shown(p Percent, s Shown, hurried bool) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) {
		c.Readings[0].Percent, c.Readings[0].Shown, c.Readings[0].Hurried = p, s, hurried
	}
}

func measuredOf(p float64) Finding { return Finding{Measured: Of(p), Unit: "percent", Other: 32} }

var measuredExamples = []example{
	{name: "32.1", want: measuredPlain, more: measuredOf(32.1)},
	{name: "31 is whole but not what was asked", set: shown(31, ShownUnasked, false), want: measuredPlain, more: measuredOf(31)},
	{name: "32 is what was asked", set: shown(32, ShownUnasked, false), want: measuredRound, more: measuredOf(32)},
	{name: "32 and said to be shown", set: shown(32, ShownDecimals, false), want: measuredConfirmed, more: measuredOf(32)},
	{name: "32 on an analyser without decimals", set: shown(32, ShownNoDecimal, false), want: measuredWhole, more: measuredOf(32)},
	{name: "hurried", set: shown(31.8, ShownUnasked, true), want: measuredHurried, more: measuredOf(31.8)},
	{name: "hurried and said to be shown", set: shown(31.8, ShownDecimals, true), want: measuredConfirmed, more: measuredOf(31.8)},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: measuredNotRead},
}
