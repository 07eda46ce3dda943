package judge

import (
	"testing"
	"time"
)

// No-stop at 30 m, GF 85: 24.30 min with 32 %, 15.62 with air (reference/README.md).
func TestNoStopRule(t *testing.T) {
	tell(t, []story{
		{name: "24 minutes fit 24.30", booked: planned(30, 24),
			said: one(32.0001),
			want: want{status: StatusGo, rules: found(RuleNoStop, Pass), minutes: 24}},
		{name: "25 do not", booked: planned(30, 25),
			said: one(32.0001),
			want: want{status: StatusLimits, rules: found(RuleNoStop, Limits), minutes: 24}},
		{name: "24.2 are more than the whole 24", booked: planned(30, 24.2),
			said: one(32.0001),
			want: only(StatusLimits, RuleNoStop, Limits)},
		{name: "none at all",
			booked: func(b *Booked) { b.Policy.GF = 30; b.Dives[0].Depth = 40; b.People[1].Cylinders[0].Asked = 21 },
			said:   one(20.9), want: only(StatusNoGo, RuleNoStop, NoGo)},
		{name: "air costs what 32 would have given", said: one(21.1), want: want{status: StatusLimits,
			rules: map[Rule]Severity{RuleLean: Limits, RuleNoStop: Limits}, minutes: 15}},
		{name: "leaner at no cost", said: one(31.4), want: only(StatusGo, RuleLean, Pass)},
		{name: "too long for both is not lean's", booked: planned(30, 30),
			said: one(31.4),
			want: want{status: StatusLimits,
				rules: map[Rule]Severity{RuleLean: Pass, RuleNoStop: Limits}}},
		{name: "dived in the last 24 hours", said: append(one(32.1), says("07:31", tomasz, SaidLast24, about(tomasz),
			yes)),
			want: only(StatusLimits, RuleOwnTables, Limits)},
		{name: "a yes stays", said: append(one(32.1), says("07:31", tomasz, SaidLast24, about(tomasz), yes),
			says("07:32", ines, SaidLast24, about(tomasz))),
			want: only(StatusLimits, RuleOwnTables, Limits)},
		{name: "a yes: no time here is named but a leader's",
			said: append(one(32.1), says("07:31", tomasz, SaidLast24, about(tomasz), yes),
				says("07:32", ines, SaidLimit, about(tomasz), limit(0, 60))),
			want: want{status: StatusLimits, minutes: 60}},
		{name: "no is no limit",
			said: append(one(32.1), says("07:31", tomasz, SaidLast24, about(tomasz))),
			want: only(StatusGo, RuleOwnTables, Pass)},
	})
}

// CNS by the NOAA limits (reference/oxygen_limits.csv): at 1.4 atm, 180 min in 24 h, 150 in one exposure. 35 % at
// 30 m is 1.4: 100 x minutes / 150 and the ramps beside it.
func TestOxygenClock(t *testing.T) {
	long := func(minutes float64) func(*Booked) {
		return func(b *Booked) { planned(30, minutes)(b); b.People[1].Cylinders[0].Asked = 35 }
	}
	tell(t, []story{
		{name: "110 minutes at 1.4 stay below 80 %", booked: long(110),
			said: one(34.9999),
			want: only(StatusLimits, RuleOxygenClock, Pass)},
		{name: "125 are above 80 %", booked: long(125),
			said: one(34.9999),
			want: only(StatusLimits, RuleOxygenClock, Limits)},
		{name: "160 are above 100 %", booked: long(160),
			said: one(34.9999),
			want: only(StatusNoGo, RuleOxygenClock, NoGo)},
		{name: "ppO2 above 1.6 has no value", booked: planned(31, 10),
			said: one(40),
			want: only(StatusNoGo, RuleOxygenClock, NoGo)},
	})
}

func twoDives(asked float64) func(*Booked) {
	return func(b *Booked) {
		b.Dives = append(b.Dives, Dive{Depth: 18, Minutes: 50, Interval: 60})
		b.People[1].Cylinders = append(b.People[1].Cylinders, Cylinder{ID: "second", Label: "30", Asked: asked, Dive: 2})
	}
}

func second(at string, v float64) Said { return reads(at, tomasz, "second", "s", v) }

func TestEarlierDives(t *testing.T) {
	firstLean := story{booked: twoDives(32), dive: 2, said: []Said{second("07:31", 32.1)}}
	firstRead := story{booked: twoDives(32), dive: 2, said: append(one(32.1), second("07:31", 32.1))}
	sitsOut := story{booked: twoDives(32), dive: 2, said: []Said{second("07:31", 32.1), says("07:32", ines,
		SaidOut, about(tomasz), diveNo(1))}}
	notDived := story{booked: twoDives(32), dive: 2, said: []Said{second("07:31", 32.1), says("07:32", ines,
		SaidNotDived, diveNo(1))}}
	unread, read, out, off := firstLean.clearance().NoStop, firstRead.clearance().NoStop,
		sitsOut.clearance().NoStop, notDived.clearance().NoStop
	if !(unread < read && read < out && out == off) {
		t.Errorf("no-stop of dive 2: unread %d, read %d, sits out %d, not dived %d: want air, then 32, then nothing twice",
			unread, read, out, off)
	}
	w := seaOf(Dive{})
	if want := startOfDay(w).noStop(w, 32.1, 18, 85); off != want {
		t.Errorf("nothing dived before: got %d, want %d", off, want)
	}
}

// Planned starts: departs + first dive after; then minutes, the ascent at 9 m/min and the interval: 09:00, and
// 22 + 30/9 + 60 minutes later 10:25:20.
func TestPlannedStarts(t *testing.T) {
	b := booked()
	twoDives(32)(&b)
	d := Open(b)
	if got, want := d.start(1), clock("09:00"); !got.Equal(want) {
		t.Errorf("dive 1: got %v, want %v", got, want)
	}
	if got, want := d.start(2).Round(time.Second), clock("10:25:20"); !got.Equal(want) {
		t.Errorf("dive 2: got %v, want %v", got, want)
	}
}

func TestWhatWasDived(t *testing.T) {
	day := func(more ...Said) int {
		said := append([]Said{reads("07:30", tomasz, c17, "r1", 32.1), says("09:40", ines, SaidDived, diveNo(1),
			wasDived(30, 22)), second("09:50", 32.1)}, more...)
		return story{booked: twoDives(32), dive: 2, said: said, at: "09:55"}.clearance().NoStop
	}
	myself := func(depth, minutes float64) Said {
		return says("09:51", tomasz, SaidDivedMyself, diveNo(1), wasDived(depth, minutes))
	}
	asPlanned := day()
	if got := day(myself(31, 24)); got >= asPlanned {
		t.Errorf("deeper and longer by the diver: got %d, want less than %d", got, asPlanned)
	}
	if got := day(myself(20, 10)); got != asPlanned {
		t.Errorf("shallower by the diver: got %d, want %d", got, asPlanned)
	}
	if got := day(says("09:51", ines, SaidDived, diveNo(1), about(tomasz), wasDived(20, 10))); got <= asPlanned {
		t.Errorf("shallower by a leader: got %d, want more than %d", got, asPlanned)
	}
}

// The gas of a dived dive is as it stood when the dive began, at 09:00 as planned: a check that is opened after
// it, or a reading, changes nothing; one said later and taken before makes it richer and leaner.
func TestGasOfADivedDive(t *testing.T) {
	day := func(between ...Said) int {
		said := append([]Said{reads("07:30", tomasz, c17, "r1", 32.1)}, between...)
		said = append(said, says("09:40", ines, SaidDived, diveNo(1)), second("09:50", 32.1))
		return story{booked: twoDives(32), dive: 2, said: said, at: "09:55"}.clearance().NoStop
	}
	plain := day()
	for name, s := range map[string]Said{
		"a check opened after it":  opened("09:10"),
		"a leaner reading of then": reads("09:35", tomasz, c17, "r2", 28.2),
		"a fill of then":           says("09:35", Shop, SaidFill, cylinder(c17)),
	} {
		if got := day(s); got != plain {
			t.Errorf("%s: got %d, want %d", name, got, plain)
		}
	}
	late := reads("09:35", noor, c17, "r2", 28.2, takenAt("08:20"))
	if got := day(late); got >= plain {
		t.Errorf("a leaner one from paper, taken before: got %d, want less than %d", got, plain)
	}
	early := says("08:00", tomasz, SaidDivedMyself, diveNo(1), wasDived(31, 30))
	if got := day(early); got >= plain {
		t.Errorf("the diver's deeper and longer before the leader's answer: got %d, want less than %d", got, plain)
	}
}
