package judge

import "testing"

func TestWhose(t *testing.T) {
	counts1 := want{status: StatusGo, counting: readingIDs("r1")}
	not := want{status: StatusNotCleared, needs: []Need{NeedReading}, compared: readingIDs("r1")}
	own := []Said{reads("07:30", ines, c18, "r1", 32.1)}
	tell(t, []story{
		{name: "the diver's own", said: one(32.1), want: counts1},
		{name: "watched by crew", said: []Said{reads("07:30", noor, c17, "r1", 32.1)}, want: counts1},
		{name: "watched by a leader", said: []Said{reads("07:30", ines, c17, "r1", 32.1)}, want: counts1},
		{name: "by another diver", said: []Said{reads("07:30", ana, c17, "r1", 32.1)}, want: not},
		{name: "by another diver whom a leader named",
			said: []Said{says("07:29", ines, SaidWitness, cylinder(c17), witness(ana)), reads("07:30", ana, c17, "r1",
				32.1)},
			want: counts1},
		{name: "named by crew is not named",
			said: []Said{says("07:29", noor, SaidWitness, cylinder(c17), witness(ana)), reads("07:30", ana, c17, "r1",
				32.1)},
			want: not},
		{name: "named for one reading only", said: []Said{says("07:29", ines, SaidWitness, cylinder(c17),
			witness(ana)), reads("07:30", ana, c17, "r1", 32.1),
			reads("07:35", ana, c17, "r2", 32.2)},
			want: want{status: StatusGo, counting: readingIDs("r1"), compared: readingIDs("r1", "r2")}},
		{name: "the shop's never stands in", said: []Said{reads("07:30", Shop, c17, "r1", 32.1)}, want: not},
		{name: "the leader's own counts as the diver's", of: ines, said: own, want: counts1},
		{name: "as the diver's it is asked about", of: ines,
			said: []Said{reads("07:30", ines, c18, "r1", 32)},
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
		{name: "with a witness it is not", of: ines,
			said: []Said{reads("07:30", ines, c18, "r1", 32, witness(ana))},
			want: counts1},
		{name: "nobody is their own witness", of: ines,
			said: []Said{reads("07:30", ines, c18, "r1", 32, witness(ines))},
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
		{name: "a diver can't name one",
			said: one(32, witness(ana)),
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
	})
}

func TestMeasured(t *testing.T) {
	shown := func(how func(*Said)) Said { return says("07:33", tomasz, SaidShown, of("r1"), how) }
	none := func(*Said) {}
	pair := func(at string, more ...func(*Said)) []Said {
		return []Said{reads("07:30:00", tomasz, c17, "r1", 32.1, message("a")), reads(at, tomasz, "other", "r2", 32.3,
			append([]func(*Said){message("b")}, more...)...)}
	}
	two := func(b *Booked) {
		b.People[1].Cylinders = append(b.People[1].Cylinders, Cylinder{ID: "other", Label: "30", Asked: 32, Dive: 1})
	}
	tell(t, []story{
		{name: "the whole number of the request",
			said: one(32),
			want: want{status: StatusNotCleared, rules: found(RuleMeasured, NotCleared), needs: []Need{NeedAnswer}}},
		{name: "another whole number", said: one(33), want: only(StatusGo, RuleMeasured, Pass)},
		{name: "the analyser showed it",
			said: append(one(32), shown(none)),
			want: want{status: StatusGo, rules: found(RuleMeasured, Pass), max: 33}},
		{name: "no decimals: 32.5 is 33.0 m",
			said: append(one(32), shown(noDecimals)),
			want: want{status: StatusGo, max: 33}},
		{name: "no decimals: 33.5 is 31.8 m",
			said: append(one(33), shown(noDecimals)),
			want: want{status: StatusGo, max: 31}},
		{name: "asked again by no change of the request",
			said: append(one(32), says("07:31", tomasz, SaidRequest, cylinder(c17), asks(31))),
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
		{name: "no newer number and no time answers it", said: append(one(32), reads("08:31", tomasz, c17, "r2",
			32.2), opened("08:30")), at: "08:32",
			want: want{status: StatusNotCleared, rules: found(RuleMeasured, NotCleared), counting: readingIDs("r2")}},
		{name: "witnessed later",
			said: append(one(32), reads("07:35", noor, c17, "r2", 32.1)),
			want: only(StatusGo, RuleMeasured, Pass)},
		{name: "two cylinders 14 s apart", booked: two,
			said: pair("07:30:14"),
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
		{name: "and no label makes them one afterwards", booked: two,
			said: append(pair("07:30:14"), says("07:32", Shop, SaidLabel, cylinder("other"), label("17"))),
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
		{name: "15 s apart", booked: two, said: pair("07:30:15"), want: only(StatusGo, RuleMeasured, Pass)},
		{name: "in one message", booked: two,
			said: pair("07:30:05", message("a")),
			want: only(StatusGo, RuleMeasured, Pass)},
		{name: "one analyser, two divers: the later is asked", of: ana, said: []Said{reads("07:30:00", tomasz, c17,
			"r1", 32.1, on("A")), reads("07:30:14", ana, c22, "r2", 32.3, on("A"))},
			want: only(StatusNotCleared, RuleMeasured, NotCleared)},
		{name: "and the earlier is not", said: []Said{reads("07:30:00", tomasz, c17, "r1", 32.1, on("A")),
			reads("07:30:14", ana, c22, "r2", 32.3, on("A"))},
			want: only(StatusGo, RuleMeasured, Pass)},
	})
}
