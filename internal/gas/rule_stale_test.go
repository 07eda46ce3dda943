package gas

import "time"

func readBefore(d time.Duration) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].At = start.Add(-d) }
}

func hours(age, limit float64) Finding {
	return Finding{Measured: Of(age), Limit: Of(limit), Margin: Of(limit - age), Unit: "h"}
}

var staleExamples = []example{
	{name: "this morning", want: staleFresh, more: hours(1.5, 24)},
	{name: "exactly 24 hours", set: readBefore(24 * time.Hour), want: staleFresh, more: hours(24, 24)},
	{name: "24 hours and a minute", set: readBefore(24*time.Hour + time.Minute), want: staleOld, more: hours(24+1.0/60, 24)},
	{name: "the newest counts",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings = append([]Reading{{Percent: 32, At: start.Add(-30 * time.Hour), By: ByDiver}}, c.Readings...)
		},
		want: staleFresh, more: hours(1.5, 24)},
	{name: "a shorter policy",
		set:  func(p *Policy, _ *Diver, _ *Cylinder) { p.FreshFor = 1 },
		want: staleOld, more: hours(1.5, 1)},
	{name: "without a start the age is that of now, an hour before it",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Dive.Start = time.Time{} },
		want: staleFresh, more: hours(0.5, 24)},
	{name: "filled since",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Filled = morning.Add(time.Minute) },
		want: staleRefill},
	{name: "filled since, and read again",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Filled = morning.Add(time.Minute)
			c.Readings = append(c.Readings, Reading{Percent: 32, At: start.Add(-time.Hour), By: ByDiver})
		},
		want: staleFresh, more: hours(1, 24)},
	{name: "no time",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].At = time.Time{} },
		want: staleUndated},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: staleNotRead},
}
