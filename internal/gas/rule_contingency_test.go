package gas

func atms(measured, limit PPO2, more Finding) Finding {
	more.Measured, more.Limit, more.Margin = Of(float64(measured)), Of(float64(limit)), Of(float64(limit-measured))
	more.Unit, more.PPO2 = "atm", measured
	return more
}

// Exact hits of the contingency limit by the trade's rule: 32 % at 40 m and
// 40 % at 30 m are 1.6 atm.
var contingencyExamples = []example{
	{name: "32 at 30 m", set: dive(32, M(30)), want: contingencyWithin, more: atms(1.28, 1.6, Finding{})},
	{name: "32 at 40 m is exactly at the limit", set: dive(32, M(40)), want: contingencyWithin,
		more: atms(1.6, 1.6, Finding{})},
	{name: "32 at 40.1 m", set: dive(32, M(40.1)), want: contingencyPlanned, more: atms(1.6032, 1.6, Finding{Mix: 27})},
	{name: "air at 70 m, where no mix fits", set: dive(21, M(70)), want: contingencyNoMix,
		more: atms(1.68, 1.6, Finding{})},
	{name: "36 at 110 ft", set: dive(36, Ft(110)), want: contingencyWithin, more: atms(1.56, 1.6, Finding{})},
	{name: "32 over a bottom at 40 m", set: bottom(32, M(40), false), want: contingencyWithin,
		more: atms(1.6, 1.6, Finding{})},
	{name: "32 over a bottom at 45 m", set: bottom(32, M(45), false), want: contingencyBottom,
		more: atms(1.76, 1.6, Finding{MaxDepth: M(33)})},
	{name: "no bottom in reach", set: bottom(32, Depth{}, true), want: contingencyBottomless,
		more: Finding{Limit: Of(40), Unit: "m", MaxDepth: M(33)}},
	{name: "no bottom in reach of air, limited by the policy's 40 m", set: bottom(21, Depth{}, true),
		want: contingencyLimited,
		more: Finding{Limit: Of(66.190476190), Unit: "m", MaxDepth: M(40)}}, // 10 x (1.6/0.21 - 1)
	{name: "no depth planned",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Depth = Depth{} },
		want: contingencyNoPlan},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: contingencyNotRead},
}
