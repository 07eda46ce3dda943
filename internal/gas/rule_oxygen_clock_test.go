package gas

func clock(o2 Percent, d Depth, minutes, limit float64) Finding {
	o, _ := Place{}.OxygenOf(o2, d, minutes)
	return Finding{Measured: Of(o.CNS), Limit: Of(limit), Margin: Of(limit - o.CNS), Unit: "percent"}
}

func planned(o2 Percent, deep Depth, minutes float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		c.Evidence, d.Dive.Depth, d.Dive.Minutes = Read(o2), deep, minutes
	}
}

var oxygenClockExamples = []example{
	{name: "22 minutes of 32 at 30 m", set: planned(32, M(30), 22), want: clockWithin, more: clock(32, M(30), 22, 80)},
	// 1.4 atm allows 150 min (NOAA): 130 min and the ramps are more than 80 %.
	{name: "130 minutes at 1.4", set: planned(35, M(30), 130), want: clockLimits, more: clock(35, M(30), 130, 80)},
	{name: "160 minutes at 1.4", set: planned(35, M(30), 160), want: clockOver, more: clock(35, M(30), 160, 100)},
	{name: "above 1.6, whatever the minutes", set: planned(32, M(40.1), 0), want: clockOffTable,
		more: Finding{Measured: Of(1.6032), Limit: Of(1.6), Margin: Of(-0.0032), Unit: "atm", PPO2: 1.6032, Mix: 27}},
	{name: "air at 70 m, where no mix fits", set: planned(21, M(70), 0), want: clockNoMix,
		more: Finding{Measured: Of(1.68), Limit: Of(1.6), Margin: Of(-0.08), Unit: "atm", PPO2: 1.68}},
	{name: "no minutes planned", want: clockLacks[timeNotGiven]},
	{name: "dived yesterday",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.OwnComputer, d.Dive.Minutes = true, 22 },
		want: clockWithin, more: clock(32.1, M(30), 22, 80)},
	{name: "an earlier dive off the table", set: after(40, M(35), 22, 60), want: clockDay},
	{name: "an earlier dive of unknown length", set: after(32, M(30), 0, 60), want: clockLacks[timeDayUnknown]},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence, d.Dive.Minutes = Evidence{}, 22 },
		want: clockLacks[timeNotRead]},
}
