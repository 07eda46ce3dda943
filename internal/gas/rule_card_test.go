package gas

func carded(k Card, o2 Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) { d.Card, c.Readings = k, []Reading{read(o2)} }
}

var cardExamples = []example{
	{name: "seen", set: carded(CardSeen, 32), want: cardSeen, more: percents(32, 22, -10)},
	{name: "none", set: carded(CardNone, 32), want: cardNone, more: percents(32, 22, -10)},
	{name: "unseen", set: carded(CardUnseen, 32), want: cardUnseen, more: percents(32, 22, -10)},
	{name: "not said counts as unseen", set: carded("", 32), want: cardUnseen, more: percents(32, 22, -10)},
	{name: "22.0 is enriched", set: carded(CardNone, 22), want: cardNone, more: percents(22, 22, 0)},
	{name: "21.9 is not", set: carded(CardNone, 21.9), want: cardAir, more: percents(21.9, 22, 0.1)},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Card, c.Readings = CardNone, nil },
		want: cardNotRead},
}
