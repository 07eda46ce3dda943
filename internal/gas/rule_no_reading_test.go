package gas

func absentFor(why Absent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Counting, c.Absent = nil, why }
}

var noReadingExamples = []example{
	{name: "read", want: readingIn},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: readingAbsent[AbsentUnread]},
	{name: "zero is no reading", set: gasOf(0), want: readingAbsent[AbsentUnread]},
	{name: "more than everything is no reading", set: gasOf(210), want: readingAbsent[AbsentUnread]},
	{name: "the shop's analysis doesn't stand in for the diver's", set: absentFor(AbsentShopOnly),
		want: readingAbsent[AbsentShopOnly]},
	{name: "refilled", set: absentFor(AbsentRefilled), want: readingAbsent[AbsentRefilled]},
	{name: "out of sight", set: absentFor(AbsentChanged), want: readingAbsent[AbsentChanged]},
	{name: "breathed since", set: absentFor(AbsentDived), want: readingAbsent[AbsentDived]},
	{name: "too old", set: absentFor(AbsentStale), want: readingAbsent[AbsentStale]},
	{name: "the boat question is open", set: absentFor(AbsentBoatQuestion), want: readingAbsent[AbsentBoatQuestion]},
	{name: "a boat reading is owed", set: absentFor(AbsentBoatReading), want: readingAbsent[AbsentBoatReading]},
	{name: "its analyser is off", set: absentFor(AbsentAirPoint), want: readingAbsent[AbsentAirPoint]},
	{name: "a slip has to be shown again", set: absentFor(AbsentSlip), want: readingAbsent[AbsentSlip]},
	{name: "it came from elsewhere", set: absentFor(AbsentElsewhere), want: readingAbsent[AbsentElsewhere]},
	{name: "taken back", set: absentFor(AbsentUndone), want: readingAbsent[AbsentUndone]},
	{name: "a reason nobody defined", set: absentFor(99), want: readingAbsent[AbsentUnread]},
}
