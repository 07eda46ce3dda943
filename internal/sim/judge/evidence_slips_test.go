package judge

import "testing"

func TestCorrections(t *testing.T) {
	first := reads("07:00", tomasz, c17, "r1", 32.1)
	noGo := reads("07:00", tomasz, c17, "r1", 36.0)
	fix := func(at string, v float64) Said { return corrects(at, tomasz, "r1", "r2", v) }
	pending := want{status: StatusNotCleared, needs: []Need{NeedWitness},
		rules: map[Rule]Severity{RuleImproved: NotCleared, RuleNoReading: NotCleared}}
	noGoStays := only(StatusNoGo, RuleImproved, NoGo)
	tell(t, []story{
		{name: "0.5 off counts at once, the slip is not compared",
			said: []Said{first, fix("07:01", 32.6)},
			want: want{status: StatusGo, counting: readingIDs("r2"), compared: readingIDs("r2")}},
		{name: "0.6 off waits", said: []Said{first, fix("07:01", 32.7)}, want: pending},
		{name: "either way", said: []Said{first, fix("07:01", 31.5)}, want: pending},
		{name: "taking back a no-go: it stays", said: []Said{noGo, fix("07:01", 32.1)}, want: noGoStays},
		{name: "taking back a no-go by little: it stays", booked: planned(32.5, 15),
			said: []Said{reads("07:00", tomasz, c17, "r1", 33.0), fix("07:01", 32.7)}, at: "07:02",
			want: noGoStays},
		{name: "shown by a witness within 1.0",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:05", noor, c17, "w", 33.1)},
			want: only(StatusGo, RuleImproved, NotApplicable)},
		{name: "not by one 1.1 off",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:05", noor, c17, "w", 33.2)},
			want: noGoStays},
		{name: "shown by the diver within 0.5, two minutes later",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:03", tomasz, c17, "r3", 32.6)},
			want: only(StatusGo, RuleImproved, NotApplicable)},
		{name: "not a second sooner",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:02:59", tomasz, c17, "r3", 32.6)},
			want: noGoStays},
		{name: "not 0.6 off",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:03", tomasz, c17, "r3", 32.7)},
			want: noGoStays},
		{name: "not through an analyser that is off in air",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:05", noor, c17, "w", 32.1, on("A"), air(21.5))},
			want: noGoStays},
		{name: "not by another diver",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:05", ana, c17, "x", 32.1)},
			want: noGoStays},
		{name: "said of the first again, the number that took its place is meant",
			said: []Said{first, fix("07:01", 32.3), corrects("07:02", tomasz, "r1", "r3", 32.0)},
			want: want{status: StatusNotCleared, compared: readingIDs("r3")}},
		{name: "a corrected correction keeps the no-go",
			said: []Said{noGo, fix("07:01", 32.1), corrects("07:02", tomasz, "r2", "r3", 32.2)},
			want: noGoStays},
		{name: "the showing taken back opens it again",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:05", noor, c17, "w", 32.5), undoes("07:06", noor, "w")},
			want: noGoStays},
		{name: "the showing taken back later, too",
			said: []Said{noGo, fix("07:01", 32.1), reads("07:05", noor, c17, "w", 32.5), undoes("07:15", noor, "w")},
			want: noGoStays},
		{name: "not of somebody else's number",
			said: []Said{reads("07:00", noor, c17, "r1", 36.0), fix("07:01", 32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "once the boat check is open it is a new reading",
			said: []Said{opened("06:59"), noGo, fix("07:01", 32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "after a fill, its diver's too, it is a new reading",
			said: []Said{noGo, says("07:01", tomasz, SaidFill, cylinder(c17)), fix("07:02", 32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "the first taken back afterwards is nothing",
			said: []Said{first, fix("07:01", 32.3), undoes("07:02", tomasz, "r1")},
			want: want{status: StatusGo, counting: readingIDs("r2")}},
		{name: "it keeps the time of the first", booked: func(b *Booked) { b.Policy.FreshFor = 2 },
			said: []Said{reads("06:59", tomasz, c17, "r1", 32.1), fix("07:05", 32.2)},
			want: only(StatusNotCleared, RuleStale, NotCleared)},
	})
}

func TestUndo(t *testing.T) {
	noGo := reads("07:00:00", tomasz, c17, "r1", 36.0)
	mild := reads("07:00:00", tomasz, c17, "r1", 32.1)
	next := func(v float64) Said { return reads("07:03", tomasz, c17, "r2", v) }
	noGoStays := only(StatusNoGo, RuleImproved, NoGo)
	tell(t, []story{
		{name: "within two minutes it was a slip",
			said: []Said{mild, undoes("07:02:00", tomasz, "r1"), next(32.2)},
			want: want{status: StatusGo, compared: readingIDs("r2")}},
		{name: "after them it stays compared",
			said: []Said{mild, undoes("07:02:01", tomasz, "r1"), next(32.2)},
			want: want{status: StatusGo, compared: readingIDs("r1", "r2"), counting: readingIDs("r2")}},
		{name: "after another reading it stays compared",
			said: []Said{mild, reads("07:00:30", tomasz, c17, "r2", 32.3), undoes("07:01:00", tomasz, "r1")},
			want: want{status: StatusGo, compared: readingIDs("r1", "r2")}},
		{name: "another person's undo makes no slip",
			said: []Said{noGo, undoes("07:01:00", ines, "r1"), next(32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "a bystander can't undo",
			said: []Said{mild, undoes("07:01:00", ana, "r1")},
			want: want{status: StatusGo, counting: readingIDs("r1")}},
		{name: "a no-go taken back stays", said: []Said{noGo, undoes("07:01:00", tomasz, "r1")}, want: noGoStays},
		{name: "and with the next number",
			said: []Said{noGo, undoes("07:01:00", tomasz, "r1"), next(32.1)},
			want: noGoStays},
		{name: "until that is shown again",
			said: []Said{noGo, undoes("07:01:00", tomasz, "r1"), next(32.1), reads("07:05", tomasz, c17, "r3", 32.2)},
			want: only(StatusGo, RuleImproved, NotApplicable)},
		{name: "the next number moves it by 0.6",
			said: []Said{mild, undoes("07:01:00", tomasz, "r1"), next(32.7)},
			want: only(StatusNotCleared, RuleImproved, NotCleared)},
		{name: "a fill by the shop ends it", said: []Said{noGo, undoes("07:01:00", tomasz, "r1"), says("07:04", Shop,
			SaidFill, cylinder(c17)), reads("07:05", tomasz, c17, "r3", 32.2)},
			want: only(StatusGo, RuleImproved, NotApplicable)},
		{name: "waiting for the next number",
			said: []Said{mild, undoes("07:01:00", tomasz, "r1")},
			want: want{status: StatusNotCleared, needs: []Need{NeedReading}}},
		{name: "a witness's next number is enough",
			said: []Said{noGo, undoes("07:01:00", tomasz, "r1"), reads("07:05", noor, c17, "w", 32.1)},
			want: only(StatusGo, RuleImproved, NotApplicable)},
	})
}
