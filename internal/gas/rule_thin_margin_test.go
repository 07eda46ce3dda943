package gas

var thinMarginExamples = []example{
	{name: "32 at 30 m", set: dive(32, M(30)), want: marginWide,
		more: depths(M(30), M((1.4/0.33-1)*10), Finding{Other: 33})},
	{name: "32 at 33 m", set: dive(32, M(33)), want: marginThin,
		more: depths(M(33), M((1.4/0.33-1)*10), Finding{Other: 33})},
	{name: "34 at 30 m would be exactly at the limit", set: dive(34, M(30)), want: marginWide,
		more: depths(M(30), M(30), Finding{Other: 35})},
	{name: "too deep as it is", set: dive(36, M(33)), want: marginNone},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: marginNotRead},
}
