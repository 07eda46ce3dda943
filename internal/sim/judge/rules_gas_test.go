package judge

import "testing"

// one is one number for 17, at 07:30.
func one(v float64, more ...func(*Said)) []Said {
	return []Said{reads("07:30", tomasz, c17, "r1", v, more...)}
}

func planned(depth, minutes float64) func(*Booked) {
	return func(b *Booked) { b.Dives = []Dive{{Depth: depth, Minutes: minutes}} }
}

func found(r Rule, s Severity) map[Rule]Severity { return map[Rule]Severity{r: s} }

func only(s Status, r Rule, severity Severity) want {
	return want{status: s, rules: found(r, severity)}
}

func TestNoReadingAndRange(t *testing.T) {
	tell(t, []story{
		{name: "nothing read",
			want: want{status: StatusNotCleared, rules: found(RuleNoReading, NotCleared), needs: []Need{NeedReading}}},
		{name: "one reading",
			said: one(32.1),
			want: want{status: StatusGo, rules: found(RuleNoReading, Pass), max: 33, minutes: 24}},
		{name: "20.0 may be air", booked: planned(18, 22),
			said: one(20.0),
			want: only(StatusLimits, RuleOutOfRange, Pass)},
		{name: "19.9 is a fault", booked: planned(18, 22), said: one(19.9), want: only(StatusNoGo, RuleOutOfRange, NoGo)},
		{name: "40.0 is covered", booked: planned(18, 22),
			said: one(40.0),
			want: only(StatusLimits, RuleOutOfRange, Pass)},
		{name: "40.1 is not", booked: planned(18, 22), said: one(40.1), want: only(StatusNoGo, RuleOutOfRange, NoGo)},
	})
}

// MOD: reference/mod.csv (NOAA, US Navy; exact hits computed): 32 % 33.75 m, 36 % 28.89 m, 28 % 40 m,
// 35 % 30 m at 1.4; 40 % 30 m at 1.6.
func TestDepth(t *testing.T) {
	tell(t, []story{
		{name: "35 % at 30 m is exactly at the limit",
			said: one(35),
			want: want{rules: found(RuleDepth, Pass), status: StatusLimits, max: 30}},
		{name: "36 % at 30 m", said: one(36.0), want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "33.5 m lies between 33 and 33.75", booked: planned(33.5, 15),
			said: one(32.0001),
			want: only(StatusLimits, RuleDepth, Limits)},
		{name: "33 m is the whole MOD", booked: planned(33, 15),
			said: one(32.0001),
			want: only(StatusGo, RuleDepth, Pass)},
		{name: "33.8 m is deeper than the exact one", booked: planned(33.8, 15),
			said: one(32.0001),
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "28 % at 40 m passes", booked: planned(40, 8), said: one(28), want: only(StatusLimits, RuleDepth, Pass)},
	})
}

func lowered(b *Booked) { b.Policy.Deepest = 29 }

func bottom(depth float64) func(*Booked) { return func(b *Booked) { b.Dives[0].Bottom = depth } }

func bottomless(b *Booked) { b.Dives[0].Bottomless = true }

func TestSite(t *testing.T) {
	tell(t, []story{
		{name: "deepest 30 allows 30", booked: func(b *Booked) { b.Policy.Deepest = 30 },
			said: one(32.1),
			want: want{status: StatusGo, rules: found(RuleDeepest, Pass), max: 30}},
		{name: "deepest 29 does not", booked: lowered, said: one(32.1), want: only(StatusNoGo, RuleDeepest, NoGo)},
		{name: "bottom at the max", booked: bottom(33), said: one(32.1), want: only(StatusGo, RuleBottom, Pass)},
		{name: "bottom below the max", booked: bottom(34),
			said: one(32.1),
			want: want{status: StatusLimits, rules: found(RuleBottom, Limits), max: 33}},
		{name: "no bottom given", said: one(32.1), want: only(StatusGo, RuleBottom, NotApplicable)},
		{name: "no bottom at all", booked: bottomless, said: one(32.1), want: only(StatusLimits, RuleBottom, Limits)},
		{name: "32 % at 40 m is 1.6", booked: bottom(40),
			said: one(32.0001, func(s *Said) { s.Value = 32 }, message("m")),
			want: want{status: StatusNotCleared, rules: found(RuleContingency, Pass)}},
		{name: "32 % at 41 m is more", booked: bottom(41),
			said: one(32.1),
			want: only(StatusLimits, RuleContingency, Limits)},
		{name: "40 % at 31 m is more than 1.6", booked: planned(31, 15),
			said: one(40),
			want: only(StatusNoGo, RuleContingency, NoGo)},
		{name: "31.1 and a point is 32.1 at 33 m", booked: planned(33, 15),
			said: one(31.1),
			want: only(StatusGo, RuleThinMargin, Pass)},
		{name: "32.1 and a point is 33.1 at 33 m", booked: planned(33, 15),
			said: one(32.1),
			want: only(StatusGo, RuleThinMargin, Note)},
	})
}

// Carbon monoxide: EN 12021 has 5 ppm, the sheet of reference/purity.csv 3.
func TestCarbonMonoxide(t *testing.T) {
	tell(t, []story{
		{name: "not measured", said: one(32.1), want: only(StatusGo, RuleCarbonMonoxide, NotApplicable)},
		{name: "3 ppm", said: one(32.1, carbonOf(3)), want: only(StatusGo, RuleCarbonMonoxide, Pass)},
		{name: "4 ppm", said: one(32.1, carbonOf(4)), want: only(StatusGo, RuleCarbonMonoxide, Note)},
		{name: "5 ppm", said: one(32.1, carbonOf(5)), want: only(StatusGo, RuleCarbonMonoxide, Note)},
		{name: "6 ppm", said: one(32.1, carbonOf(6)), want: only(StatusNoGo, RuleCarbonMonoxide, NoGo)},
		{name: "the highest stays", said: append(one(32.1, carbonOf(6)), says("07:35", tomasz, SaidCarbonMonoxide,
			cylinder(c17), carbonOf(1))),
			want: only(StatusNoGo, RuleCarbonMonoxide, NoGo)},
		{name: "until the fill", said: append(one(32.1, carbonOf(6)), says("07:35", Shop, SaidFill, cylinder(c17)),
			reads("07:40", tomasz, c17, "r2", 32.1)),
			want: only(StatusGo, RuleCarbonMonoxide, NotApplicable)},
		{name: "not by the diver's own fill", said: append(one(32.1, carbonOf(6)), says("07:35", tomasz, SaidFill,
			cylinder(c17)), reads("07:40", tomasz, c17, "r2", 32.1)),
			want: only(StatusNoGo, RuleCarbonMonoxide, NoGo)},
	})
}
