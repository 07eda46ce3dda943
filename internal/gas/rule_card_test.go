package gas

func carded(k Card, o2 Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) { d.Card, c.Evidence = k, Read(o2) }
}

var cardExamples = []example{
	{name: "seen", set: carded(CardSeen, 32), want: cardSeen, more: percents(32, 22, -10)},
	{name: "none", set: carded(CardNone, 32), want: cardNone, more: percents(32, 22, -10)},
	{name: "unseen", set: carded(CardUnseen, 32), want: cardUnseen, more: percents(32, 22, -10)},
	{name: "not said counts as unseen", set: carded("", 32), want: cardUnseen, more: percents(32, 22, -10)},
	{name: "22.0 is enriched", set: carded(CardNone, 22), want: cardNone, more: percents(22, 22, 0)},
	{name: "21.9 is not", set: carded(CardNone, 21.9), want: cardAir, more: percents(21.9, 22, 0.1)},
	{name: "nothing read: by the request",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Card, c.Evidence = CardNone, Evidence{} },
		want: cardNone, more: percents(32, 22, -10)},
	{name: "less than enriched, and nobody watched: by the request",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			carded(CardNone, 21)(p, d, c)
			c.LeanUnseen = true
		},
		want: cardNone, more: percents(32, 22, -10)},
	{name: "by a request that was changed after the reading",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			carded(CardNone, 21)(p, d, c)
			c.Asked, c.LeanUnseen, c.RichestAsked = Air, true, 36
		},
		want: cardNone, more: percents(36, 22, -14)},
	{name: "nothing read, nothing asked",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Asked, c.Evidence = 0, Evidence{} },
		want: cardNotRead},
}
