package gas

func aged(age, limit float64, counts bool) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) {
		c.Dated, c.Age, c.Limit = true, age, limit
		if !counts {
			c.Counting, c.Absent = nil, AbsentStale
		}
	}
}

func hours(age, limit float64) Finding {
	return Finding{Measured: Of(age), Limit: Of(limit), Margin: Of(limit - age), Unit: "h"}
}

var staleExamples = []example{
	{name: "this morning", set: aged(1.5, 24, true), want: staleFresh, more: hours(1.5, 24)},
	{name: "too old, and nothing younger", set: aged(24.5, 24, false), want: staleOld, more: hours(24.5, 24)},
	{name: "on the boat to be analysed again", want: staleBoat, more: hours(3, 4),
		set: func(p *Policy, d *Diver, c *Cylinder) { aged(3, 4, false)(p, d, c); c.Absent = AbsentBoatReading }},
	{name: "the boat question is open", want: staleAsked, more: hours(3, 4),
		set: func(p *Policy, d *Diver, c *Cylinder) { aged(3, 4, false)(p, d, c); c.Absent = AbsentBoatQuestion }},
	{name: "refilled", want: staleFresh, more: hours(3, 4),
		set: func(p *Policy, d *Diver, c *Cylinder) { aged(3, 4, false)(p, d, c); c.Absent = AbsentRefilled }},
	{name: "no time", want: staleUndated},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: staleNotRead},
}
