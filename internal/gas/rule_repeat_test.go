package gas

func readings(rs ...Reading) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = rs }
}

func on(analyser string, p Percent) Reading {
	r := read(p)
	r.Analyser = analyser
	return r
}

func shop(p Percent) Reading { return Reading{Percent: p, At: morning, By: ByShop, Analyser: "A"} }

// watched is a reading that can settle a disagreement.
func watched(p Percent) Reading {
	return Reading{Percent: p, At: morning, By: Witnessed, Analyser: "A", Calibrated: true}
}

var repeatExamples = []example{
	{name: "one reading", want: repeatSingle},
	{name: "0.4 apart", set: readings(read(32), read(32.4)), want: repeatAgree, more: points(0.4, 1, 0.6, 32)},
	{name: "0.5 apart", set: readings(read(32), read(32.5)), want: repeatApart, more: points(0.5, 1, 0.5, 32)},
	{name: "1.0 apart", set: readings(read(33), read(32)), want: repeatApart, more: points(1, 1, 0, 33)},
	{name: "1.1 apart", set: readings(read(32), read(33.1)), want: repeatUnsettled, more: points(1.1, 1, -0.1, 32)},
	{name: "0.9 apart on two analysers", set: readings(on("A", 32), on("B", 32.9)), want: repeatAgree, more: points(0.9, 2, 1.1, 32)},
	{name: "1.0 apart on two analysers", set: readings(on("A", 32), on("B", 33)), want: repeatApart, more: points(1, 2, 1, 32)},
	{name: "2.0 apart on two analysers", set: readings(on("A", 32), on("B", 34)), want: repeatApart, more: points(2, 2, 0, 32)},
	{name: "2.1 apart on two analysers", set: readings(on("A", 32), on("B", 34.1)), want: repeatUnsettled, more: points(2.1, 2, -0.1, 32)},
	{name: "an unnamed analyser may be the same", set: readings(on("", 32), on("B", 33.1)), want: repeatUnsettled, more: points(1.1, 1, -0.1, 32)},
	{name: "2.0 between shop and diver", set: readings(shop(34), read(32)), want: repeatApart, more: points(2, 2, 0, 34)},
	{name: "2.1 between shop and diver", set: readings(shop(34.1), read(32)), want: repeatUnsettled, more: points(2.1, 2, -0.1, 34.1)},
	{name: "an ordinary third reading settles nothing",
		set:  readings(read(32), read(34), read(34)),
		want: repeatUnsettled, more: points(2, 1, -1, 32)},
	{name: "a watched third reading without calibration settles nothing",
		set: readings(read(32), read(34), Reading{Percent: 34, At: morning, By: Witnessed, Analyser: "A"}),
		// The last pair agrees; the pair before is what is in dispute.
		want: repeatUnsettled, more: points(2, 1, -1, 32)},
	{name: "a watched third reading settles",
		set:  readings(read(32), read(34), watched(32.1)),
		want: repeatSettled, more: points(1.9, 1, -0.9, 34)},
	{name: "a watched second reading is still one against one",
		set:  readings(read(32), watched(34)),
		want: repeatUnsettled, more: points(2, 1, -1, 32)},
	{name: "a new disagreement after it was settled",
		set:  readings(read(32), read(34), watched(32.1), read(35)),
		want: repeatUnsettled, more: points(2.9, 1, -1.9, 32.1)},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: repeatNotRead},
}
