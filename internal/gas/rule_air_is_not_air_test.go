package gas

func askedAir(k Card, o2 Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		d.Card, c.Asked, c.Evidence = k, Air, Read(o2)
	}
}

var airIsNotAirExamples = []example{
	{name: "air", set: askedAir(CardNone, 20.9), want: airIsAir, more: withOther(percents(20.9, 22, 1.1), Air)},
	{name: "30 with a card", set: askedAir(CardSeen, 30), want: airEnriched, more: withOther(percents(30, 22, -8), Air)},
	{name: "30 without", set: askedAir(CardNone, 30), want: airNoCard, more: withOther(percents(30, 22, -8), Air)},
	{name: "30, card not seen", set: askedAir(CardUnseen, 30), want: airCardUnseen,
		more: withOther(percents(30, 22, -8), Air)},
	{name: "22.0 is no air", set: askedAir(CardNone, 22), want: airNoCard, more: withOther(percents(22, 22, 0), Air)},
	{name: "32 asked", want: airNotAskedFor},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Asked, c.Evidence = Air, Evidence{} },
		want: airNotRead},
}

func withOther(f Finding, other Percent) Finding {
	f.Other = other
	return f
}
