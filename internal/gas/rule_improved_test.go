package gas

func slipped(s SlipState, was, is Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Slip = Slip{State: s, Was: was, Is: is} }
}

func instead(was, is Percent) Finding {
	f := Finding{Other: was}
	if is > 0 {
		f.Measured, f.Unit = Of(float64(is)), "percent"
	}
	return f
}

var improvedExamples = []example{
	{name: "nothing was put right", want: improvedNone},
	{name: "a little", set: slipped(SlipSmall, 32.4, 32.1), want: improvedNot, more: instead(32.4, 32.1)},
	{name: "shown again", set: slipped(SlipShown, 36.2, 32.1), want: improvedShown, more: instead(36.2, 32.1)},
	{name: "to be shown again", set: slipped(SlipOpen, 33.2, 32.1), want: improvedOpen, more: instead(33.2, 32.1)},
	{name: "nothing said instead", set: slipped(SlipOpen, 33.2, 0), want: improvedUnsaid, more: instead(33.2, 0)},
	{name: "the no-go stays", set: slipped(SlipStops, 36.2, 32.1), want: improvedStops, more: instead(36.2, 32.1)},
	{name: "a state nobody defined", set: slipped(99, 36.2, 32.1), want: improvedStops, more: instead(36.2, 32.1)},
}
