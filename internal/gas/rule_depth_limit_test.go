package gas

func limited(own, set Depth) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, _ *Cylinder) { d.DepthLimit, d.Set.Depth = own, set }
}

// The pairs of metres and feet by name are common practice, no source.
var depthLimitExamples = []example{
	{name: "not given", want: limitNotGiven},
	{name: "within", set: limited(M(40), Depth{}), want: limitWithin, more: depths(M(30), M(40), Finding{})},
	{name: "exactly", set: limited(M(30), Depth{}), want: limitWithin, more: depths(M(30), M(30), Finding{})},
	{name: "100 ft is 30 m by name", set: limited(Ft(100), Depth{}), want: limitWithin,
		more: depths(M(30), M(30), Finding{})},
	{name: "beyond", set: limited(M(18), Depth{}), want: limitBeyond, more: depths(M(30), M(18), Finding{})},
	{name: "beyond, in the other unit", set: limited(Ft(98), Depth{}), want: limitBeyond,
		more: depths(M(30), M(29), Finding{})},
	{name: "set within it", set: limited(M(18), M(18)), want: limitSet,
		more: depths(M(30), M(18), Finding{MaxDepth: M(18)})},
	{name: "set, but not within it", set: limited(M(18), M(25)), want: limitBeyond, more: depths(M(30), M(18), Finding{})},
	{name: "set without a qualification", set: limited(Depth{}, M(25)), want: limitNotGiven},
	{name: "no plan to hold it against",
		set: func(_ *Policy, d *Diver, _ *Cylinder) {
			d.DepthLimit, d.Dive.Depth = M(18), Depth{}
		},
		want: limitNotGiven},
}
