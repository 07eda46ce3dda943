package gas

var noReadingExamples = []example{
	{name: "read by the diver", want: readingIn},
	{name: "watched by the leader",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].By = Witnessed },
		want: readingIn},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: readingMissing},
	{name: "zero is no reading",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].Percent = 0 },
		want: readingMissing},
	{name: "more than everything is no reading",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].Percent = 210 },
		want: readingMissing},
	{name: "the shop's analysis doesn't stand in for the diver's",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].By = ByShop },
		want: readingShopOnly},
	{name: "shop and diver",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings = []Reading{{Percent: 32, At: morning, By: ByShop}, read(32.1)}
		},
		want: readingIn},
	{name: "the boat question is open",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Due = DueBoatQuestion },
		want: readingQuestion},
	{name: "a boat reading is owed",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Due = DueBoatReading },
		want: readingBoat},
	{name: "a boat reading is there",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Due = DueBoatReading
			c.Readings[0].Stage = Boat
		},
		want: readingIn},
	{name: "a boat reading by the shop is not the diver's",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Due = DueBoatReading
			c.Readings = append(c.Readings, Reading{Percent: 32, At: morning, Stage: Boat, By: ByShop})
		},
		want: readingBoat},
}
