package gas

var sameCylinderExamples = []example{
	{name: "one diver", want: claimedOnce, more: Finding{Measured: Of(1), Limit: Of(1), Margin: Of(0)}},
	{name: "nobody has said",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Claims = 0 },
		want: claimedOnce, more: Finding{Measured: Of(1), Limit: Of(1), Margin: Of(0)}},
	{name: "two divers",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Claims = 2 },
		want: claimedTwice, more: Finding{Measured: Of(2), Limit: Of(1), Margin: Of(-1)}},
}
