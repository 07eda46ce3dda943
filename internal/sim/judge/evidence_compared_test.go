package judge

import "testing"

// twoReadings are 32.1 on A at 07:30 and another number at 07:40.
func twoReadings(v float64, more ...func(*Said)) []Said {
	return []Said{reads("07:30", tomasz, c17, "r1", 32.1, on("A")), reads("07:40", tomasz, c17, "r2", v, more...)}
}

func TestCompared(t *testing.T) {
	shallow := planned(18, 22)
	tell(t, []story{
		{name: "0.4 apart", said: twoReadings(32.5, on("A")), want: only(StatusGo, RuleRepeat, Pass)},
		{name: "0.5 apart is a note", said: twoReadings(32.6, on("A")), want: only(StatusGo, RuleRepeat, Note)},
		{name: "1.0 apart is a note", said: twoReadings(31.1, on("A")), want: only(StatusGo, RuleRepeat, Note)},
		{name: "1.1 apart is unsettled; a plan that fits both goes with limits",
			said: twoReadings(31.0, on("A")),
			want: only(StatusLimits, RuleRepeat, Limits)},
		{name: "not with dives in the last 24 hours",
			said: append(twoReadings(31.0, on("A")), says("07:41", tomasz, SaidLast24, about(tomasz), yes)),
			want: only(StatusNotCleared, RuleRepeat, NotCleared)},
		{name: "and one that doesn't is not cleared",
			said: twoReadings(27.0, on("A")),
			want: want{status: StatusNotCleared, rules: found(RuleRepeat, NotCleared), needs: []Need{NeedWitness}}},
		{name: "an unnamed analyser is the same one",
			said: twoReadings(31.0),
			want: only(StatusLimits, RuleRepeat, Limits)},
		{name: "another analyser: 0.9", said: twoReadings(33.0, on("B")), want: only(StatusGo, RuleRepeat, Pass)},
		{name: "another analyser: 1.0 is a note",
			said: twoReadings(33.1, on("B")),
			want: only(StatusGo, RuleRepeat, Note)},
		{name: "another analyser: 2.0 is a note", booked: shallow,
			said: twoReadings(34.1, on("B")),
			want: only(StatusLimits, RuleRepeat, Note)},
		{name: "another analyser: 2.1 is unsettled", booked: shallow,
			said: twoReadings(34.2, on("B")),
			want: only(StatusLimits, RuleRepeat, Limits)},
		{name: "the shop's: 2.0 is a note",
			said: []Said{reads("07:00", Shop, c17, "s", 30.1), reads("07:40", tomasz, c17, "r1", 32.1)},
			want: only(StatusGo, RuleRepeat, Note)},
		{name: "the shop's: 2.1 is unsettled", booked: shallow,
			said: []Said{reads("07:00", Shop, c17, "s", 34.2), reads("07:40", tomasz, c17, "r1", 32.1)},
			want: only(StatusLimits, RuleRepeat, Limits)},
		{name: "the shop's among themselves: 1.0 is a note, whatever the analyser",
			said: []Said{reads("07:00", Shop, c17, "s", 31.1, on("A")), reads("07:05", Shop, c17, "s2", 32.1, on("B")),
				reads("07:40", tomasz, c17, "r1", 32.1)},
			want: only(StatusGo, RuleRepeat, Note)},
		{name: "1.1 is unsettled",
			said: []Said{reads("07:00", Shop, c17, "s", 31.0, on("A")), reads("07:05", Shop, c17, "s2", 32.1, on("B")),
				reads("07:40", tomasz, c17, "r1", 32.1)},
			want: only(StatusLimits, RuleRepeat, Limits)},
		{name: "the richest counts for depth", said: twoReadings(33.1, on("A")), want: want{status: StatusGo, max: 32}},
		{name: "the leanest for time", said: twoReadings(31.1, on("A")), want: want{status: StatusGo, minutes: 23}},
		{name: "the shop's richer one, too",
			said: []Said{reads("07:00", Shop, c17, "s", 34.0), reads("07:40", tomasz, c17, "r1", 32.1)},
			want: want{status: StatusGo, max: 31}},
		{name: "the richest breaks the depth", said: twoReadings(36.0, on("A")), want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "a stale one is compared",
			said: []Said{reads("-1 07:00", tomasz, c17, "r1", 36.0), reads("07:40", tomasz, c17, "r2", 32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "an undone one is compared",
			said: append(twoReadings(36.0, on("A")), undoes("07:50", tomasz, "r2")), at: "07:51",
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "said twice within two minutes",
			said: []Said{reads("07:30:00", tomasz, c17, "r1", 32.1), reads("07:31:59", tomasz, c17, "r2", 32.1)},
			want: want{status: StatusGo, compared: readingIDs("r1")}},
		{name: "after two minutes it is another",
			said: []Said{reads("07:30:00", tomasz, c17, "r1", 32.1), reads("07:32:00", tomasz, c17, "r2", 32.1)},
			want: want{status: StatusGo, compared: readingIDs("r1", "r2")}},
		{name: "a witness's is always its own",
			said: []Said{reads("07:30:00", noor, c17, "r1", 32.1), reads("07:31:00", noor, c17, "r2", 32.1)},
			want: want{status: StatusGo, compared: readingIDs("r1", "r2")}},
	})
}

// 32.1 and 34.0 on one analyser: unsettled, and 34 breaks 31.2 m.
func TestSettled(t *testing.T) {
	deep := planned(31.5, 20)
	unsettled := []Said{reads("07:00", tomasz, c17, "r1", 32.1), reads("07:05", tomasz, c17, "r2", 34.0)}
	after := func(more ...Said) []Said { return append(unsettled[:2:2], more...) }
	stays := only(StatusNoGo, RuleDepth, NoGo)
	settledLean := want{status: StatusGo, rules: found(RuleRepeat, Note), counting: readingIDs("r1", "w"), max: 33}
	tell(t, []story{
		{name: "unsettled", booked: deep, said: after(), want: stays},
		{name: "settled by a witness on a calibrated analyser", booked: deep,
			said: after(calibrated("07:10", c17, "w", 31.6)),
			want: settledLean},
		{name: "not on one without an air point", booked: deep,
			said: after(reads("07:10", noor, c17, "w", 31.6, on("A"))),
			want: stays},
		{name: "an air point 60 minutes old will do", booked: deep,
			said: append([]Said{says("06:10", noor, SaidAirPoint, on("A"), air(20.9))}, after(reads("07:10", noor, c17,
				"w", 31.6, on("A")))...),
			want: settledLean},
		{name: "one 61 minutes old will not", booked: deep,
			said: append([]Said{says("06:09", noor, SaidAirPoint, on("A"), air(20.9))}, after(reads("07:10", noor, c17,
				"w", 31.6, on("A")))...),
			want: stays},
		{name: "nor one with a failing one since", booked: deep, said: append([]Said{says("06:10", noor, SaidAirPoint,
			on("A"), air(20.9)), says("06:30", noor, SaidAirPoint, on("A"), air(21.5))},
			after(reads("07:10", noor, c17, "w", 31.6, on("A")))...), want: stays},
		{name: "not by the diver", booked: deep,
			said: after(reads("07:10", tomasz, c17, "w", 31.6, on("A"), air(20.9))),
			want: stays},
		{name: "not by undo", booked: deep, said: after(undoes("07:06", tomasz, "r2")), want: stays},
		{name: "not by a correction, which only adds a reading", booked: deep,
			said: after(corrects("07:06", tomasz, "r2", "r3", 32.2)),
			want: stays},
		{name: "not by a new label", booked: deep,
			said: after(says("07:06", tomasz, SaidLabel, cylinder(c17), label("71"))),
			want: stays},
		{name: "a watched one that made it unsettled does not settle it", booked: deep,
			said: []Said{reads("07:00", tomasz, c17, "r1", 34.0, on("A")), calibrated("07:10", c17, "w", 32.1)},
			want: stays},
		{name: "the next one does", booked: deep, said: []Said{reads("07:00", tomasz, c17, "r1", 34.0, on("A")),
			calibrated("07:10", c17, "w", 32.1), calibrated("07:15", c17, "w2", 32.2)},
			want: want{status: StatusGo, counting: readingIDs("w", "w2")}},
		{name: "settled, then undone", booked: deep,
			said: after(calibrated("07:10", c17, "w", 31.6), undoes("07:20", noor, "w")),
			want: stays},
		{name: "a fill by the shop ends it", booked: deep,
			said: after(says("07:10", Shop, SaidFill, cylinder(c17)), reads("07:15", tomasz, c17, "r3", 32.1)),
			want: want{status: StatusGo, counting: readingIDs("r3")}},
		{name: "the diver's own fill does not", booked: deep,
			said: after(says("07:10", tomasz, SaidFill, cylinder(c17)), reads("07:15", tomasz, c17, "r3", 32.1)),
			want: stays},
		{name: "until a watched one", booked: deep,
			said: after(says("07:10", tomasz, SaidFill, cylinder(c17)), calibrated("07:15", c17, "w", 32.1)),
			want: want{status: StatusGo, compared: readingIDs("w")}},
		{name: "not by a watched one of what turns out to be the same cylinder", booked: deep,
			said: after(calibrated("07:10", c22, "w", 31.6), says("07:15", tomasz, SaidLabel, cylinder(c17), label("22"))),
			want: stays},
		{name: "nor as a named witness", booked: both(deep, func(b *Booked) {
			b.People[2].Cylinders[0].Label, b.People[2].Cylinders[0].Dive = "18", 2
		}), of: ines, said: []Said{reads("07:00", ines, c18, "r1", 32.1), reads("07:05", ines, c18, "r2", 34.0),
			reads("07:10", ines, c18, "w", 31.6, on("A"), air(20.9), witness(ana))}, want: stays},
		{name: "what was settled stays so when another turns out to be the same", booked: deep,
			said: after(calibrated("07:10", c17, "w", 31.6), reads("07:12", ana, c22, "x", 31.9),
				says("07:15", ana, SaidLabel, cylinder(c22), label("17"))),
			want: want{status: StatusNotCleared, rules: found(RuleSameCylinder, NotCleared), counting: readingIDs("r1", "w"),
				compared: readingIDs("r1", "w", "x")}},
		{name: "whoever has the same cylinder can't settle it", booked: both(deep,
			func(b *Booked) { b.People[0].Cylinders[0].Label = "17"; b.People[0].Cylinders[0].Dive = 2 }),
			said: after(reads("07:10", ines, c17, "w", 31.6, on("A"), air(20.9))), want: stays},
	})
}

func TestSeriesSetAside(t *testing.T) {
	shops := []Said{reads("06:00", Shop, c17, "s1", 34.5), reads("06:00", Shop, c18, "s2", 33.5), reads("06:00",
		Shop, c22, "s3", 33.1)}
	divers := []Said{reads("07:00", tomasz, c17, "r1", 32.1), reads("07:00", ines, c18, "r2", 32.2), reads("07:00",
		ana, c22, "r3", 32.1)}
	aside := func() []Said {
		all := append(shops[:3:3], divers...)
		return append(all, Said{At: clock("07:10"), By: "ines", Kind: SaidSeriesAside})
	}
	two := append(shops[:2:2], divers...)
	tell(t, []story{
		{name: "unsettled by the shop's alone", booked: planned(31, 20),
			said: append(shops[:3:3], divers...),
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "three are off the same way", booked: planned(31, 20),
			said: aside(),
			want: want{status: StatusGo, compared: readingIDs("r1")}},
		{name: "two are not enough", booked: planned(31, 20),
			said: append(two, says("07:10", ines, SaidSeriesAside)),
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "crew can't", booked: planned(31, 20),
			said: append(append(shops[:3:3], divers...), says("07:10", noor, SaidSeriesAside)),
			want: only(StatusNoGo, RuleDepth, NoGo)},
	})
}
