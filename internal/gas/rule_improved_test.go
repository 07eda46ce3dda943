package gas

func corrected(was, now Percent) Reading {
	r := read(now)
	r.Replaced = was
	return r
}

var improvedExamples = []example{
	{name: "no correction", want: improvedNone},
	{name: "richer", set: readings(corrected(31, 32)), want: improvedNot, more: points(-1, 0.5, 1.5, 31)},
	{name: "0.5 leaner", set: readings(corrected(32.5, 32)), want: improvedNot, more: points(0.5, 0.5, 0, 32.5)},
	{name: "0.6 leaner", set: readings(corrected(32.6, 32)), want: improvedFavour, more: points(0.6, 0.5, -0.1, 32.6)},
	{name: "clears a no-go by a tenth", set: readings(corrected(35.1, 35)), want: improvedCleared, more: points(0.1, 0.5, 0.4, 35.1)},
	{name: "clears a reading below air", set: readings(corrected(19.8, 20.9)), want: improvedCleared, more: points(-1.1, 0.5, 1.6, 19.8)},
	{name: "clears a missing card",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			d.Card, c.Readings = CardNone, []Reading{corrected(22, 21.9)}
		},
		want: improvedCleared, more: points(0.1, 0.5, 0.4, 22)},
	{name: "a no-go that stays one", set: readings(corrected(36, 35.8)), want: improvedNot, more: points(0.2, 0.5, 0.3, 36)},
	{name: "analysed again", set: readings(corrected(36, 32), read(32.1)), want: improvedNone},
	{name: "watched", set: readings(corrected(36, 32), watched(32.1)), want: improvedNone},
	{name: "corrected while watched",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings = []Reading{watched(32)}
			c.Readings[0].Replaced = 36
		},
		want: improvedNone},
	{name: "a second correction doesn't clear the first",
		set:  readings(corrected(36, 32), corrected(32.2, 32)),
		want: improvedCleared, more: points(4, 0.5, -3.5, 36)},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: improvedNotRead},
}
