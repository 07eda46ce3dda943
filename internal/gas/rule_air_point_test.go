package gas

func airOf(s AirPointState, shown, lo, hi Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.AirPoint = AirPoint{State: s, Shown: shown, Lo: lo, Hi: hi} }
}

var airPointExamples = []example{
	{name: "not said", want: airPointNone},
	{name: "20.9", set: airOf(AirPointFits, 20.9, 20.2, 21.1), want: airPointFits, more: percents(20.9, 21.1, 0.2)},
	{name: "20.6", set: airOf(AirPointLow, 20.6, 20.2, 21.1), want: airPointOdd, more: percents(20.6, 20.2, 0.4)},
	{name: "20.1", set: airOf(AirPointOff, 20.1, 20.2, 21.1), want: airPointBad, more: percents(20.1, 20.2, -0.1)},
	{name: "a state nobody defined", set: airOf(99, 20.9, 20.2, 21.1), want: airPointBad, more: percents(20.9, 21.1, 0.2)},
}
