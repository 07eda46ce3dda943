package judge

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func cardOf(c Card) func(*Booked) { return func(b *Booked) { b.People[1].Card = c } }

func askedAir(b *Booked) { planned(30, 15)(b); b.People[1].Cylinders[0].Asked = 21 }

func both(f ...func(*Booked)) func(*Booked) {
	return func(b *Booked) {
		for _, g := range f {
			g(b)
		}
	}
}

func TestAsked(t *testing.T) {
	replan := func(at string, by func(*Said)) Said { return says(at, ines, SaidReplanned, cylinder(c17), by) }
	none := func(*Said) {}
	tell(t, []story{
		{name: "1.0 off passes", said: one(33.0), want: only(StatusGo, RuleAsked, Pass)},
		{name: "1.1 off is a note", said: one(33.1), want: only(StatusGo, RuleAsked, Note)},
		{name: "2.0 off is a note", said: one(34.0), want: only(StatusGo, RuleAsked, Note)},
		{name: "2.1 off is a limit", said: one(34.1), want: only(StatusLimits, RuleAsked, Limits)},
		{name: "re-planned by a leader",
			said: append(one(34.1), replan("07:31", none)),
			want: only(StatusGo, RuleAsked, Note)},
		{name: "the diver's word alone is not enough",
			said: append(one(34.1), says("07:31", tomasz, SaidReplanned, cylinder(c17))),
			want: only(StatusLimits, RuleAsked, Limits)},
		{name: "a reading 0.5 away keeps it",
			said: append(one(34.1), replan("07:31", none), reads("07:35", tomasz, c17, "r2", 34.6)),
			want: only(StatusGo, RuleAsked, Note)},
		{name: "over 0.5 away asks again",
			said: append(one(34.1), replan("07:31", none), reads("07:35", tomasz, c17, "r2", 34.7)),
			want: only(StatusLimits, RuleAsked, Limits)},
		{name: "a request changed afterwards helps nobody",
			said: append(one(34.1), says("07:31", tomasz, SaidRequest, cylinder(c17), asks(34))),
			want: only(StatusLimits, RuleAsked, Limits)},
		{name: "a request changed before the fill does",
			said: append([]Said{says("07:20", tomasz, SaidRequest, cylinder(c17), asks(34))}, one(34.1)...),
			want: only(StatusGo, RuleAsked, Pass)},
		{name: "said while nothing counts it stands for nothing",
			said: append(one(34.1), opened("08:30"), replan("08:31", none),
				says("08:32", tomasz, SaidBoatAnswer, cylinder(c17), boat(BoatKept))), at: "08:33",
			want: only(StatusLimits, RuleAsked, Limits)},
		{name: "a leader can't re-plan their own", of: ines, said: []Said{reads("07:30", ines, c18, "r", 34.1),
			says("07:31", ines, SaidReplanned, cylinder(c18))},
			want: only(StatusLimits, RuleAsked, Limits)},
	})
}

func TestCard(t *testing.T) {
	seen := func(by, w string) Said {
		return says("07:40", roster.PersonID(by), SaidCard, about(tomasz), card(CardSeen), witness(roster.PersonID(w)))
	}
	tell(t, []story{
		{name: "unseen", booked: cardOf(CardUnseen),
			said: one(32.1),
			want: want{status: StatusNotCleared, rules: found(RuleCard, NotCleared), needs: []Need{NeedCard}}},
		{name: "an unknown word is unseen", booked: cardOf(""),
			said: one(32.1),
			want: only(StatusNotCleared, RuleCard, NotCleared)},
		{name: "none", booked: cardOf(CardNone), said: one(32.1), want: only(StatusNoGo, RuleCard, NoGo)},
		{name: "none, nothing read, enriched ordered", booked: cardOf(CardNone), want: only(StatusNoGo, RuleCard, NoGo)},
		{name: "none, nothing read, air ordered", booked: both(askedAir, cardOf(CardNone)),
			want: only(StatusNotCleared, RuleCard, Pass)},
		{name: "air needs none", booked: both(askedAir, cardOf(CardNone)),
			said: one(20.9),
			want: only(StatusGo, RuleCard, Pass)},
		{name: "21.9 is air", booked: both(askedAir, cardOf(CardNone)),
			said: one(21.9),
			want: only(StatusGo, RuleCard, Pass)},
		{name: "22.0 is enriched", booked: both(askedAir, cardOf(CardNone)),
			said: one(22.0),
			want: want{status: StatusNoGo, rules: map[Rule]Severity{RuleCard: NoGo, RuleAirIsNotAir: NoGo}}},
		{name: "enriched ordered, air read alone", booked: cardOf(CardNone),
			said: one(20.9),
			want: only(StatusNoGo, RuleCard, NoGo)},
		{name: "enriched ordered, air read with a witness", booked: cardOf(CardNone),
			said: []Said{reads("07:30", noor, c17, "r1", 20.9)},
			want: only(StatusLimits, RuleCard, Pass)},
		{name: "seen by crew", booked: cardOf(CardUnseen),
			said: append(one(32.1), seen("noor", "")),
			want: only(StatusGo, RuleCard, Pass)},
		{name: "seen by the shop", booked: cardOf(CardNone),
			said: append(one(32.1), seen("shop", "")),
			want: only(StatusGo, RuleCard, Pass)},
		{name: "not by the diver", booked: cardOf(CardUnseen),
			said: append(one(32.1), seen("tomasz", "")),
			want: only(StatusNotCleared, RuleCard, NotCleared)},
		{name: "asked for air, got enriched, with a card", booked: askedAir,
			said: one(22.5),
			want: only(StatusGo, RuleAirIsNotAir, Note)},
		{name: "and unseen", booked: both(askedAir, cardOf(CardUnseen)),
			said: one(22.5),
			want: only(StatusNotCleared, RuleAirIsNotAir, NotCleared)},
	})
}

func TestSoleLeadersCard(t *testing.T) {
	unseen := func(b *Booked) { b.People[0].Card = CardUnseen }
	card := func(w string) Said {
		return says("07:40", ines, SaidCard, about(ines), card(CardSeen), witness(roster.PersonID(w)))
	}
	mine := reads("07:30", ines, c18, "r", 32.1)
	tell(t, []story{
		{name: "with a named witness", of: ines, booked: unseen,
			said: []Said{mine, card("ana")},
			want: only(StatusGo, RuleCard, Pass)},
		{name: "without one", of: ines, booked: unseen,
			said: []Said{mine, card("")},
			want: only(StatusNotCleared, RuleCard, NotCleared)},
		{name: "not with two leaders", of: ines, booked: both(unseen, func(b *Booked) { b.People[3].Leader = true }),
			said: []Said{mine, card("ana")},
			want: only(StatusNotCleared, RuleCard, NotCleared)},
	})
}

// "By name the trade takes 30 m = 100 ft as equal" (common practice, no source).
func TestDepthLimit(t *testing.T) {
	to := func(d gas.Depth) func(*Booked) { return func(b *Booked) { b.People[1].Qualification = d } }
	feet := func(b *Booked) { b.Units = gas.Feet; b.Policy = DefaultPolicy(gas.Feet); b.Dives[0].Depth = 100 }
	set := func(by roster.PersonID, depth float64) Said {
		return says("07:31", by, SaidLimit, about(tomasz), diveNo(1), limit(depth, 0))
	}
	tell(t, []story{
		{name: "not known", said: one(32.1), want: only(StatusGo, RuleDepthLimit, NotApplicable)},
		{name: "30 m at 30 m", booked: to(gas.M(30)),
			said: one(32.1),
			want: want{status: StatusGo, rules: found(RuleDepthLimit, Pass), max: 30}},
		{name: "30 m at 100 ft", booked: both(feet, to(gas.M(30))),
			said: one(32.1),
			want: want{status: StatusGo, rules: found(RuleDepthLimit, Pass), max: 100}},
		{name: "60 ft at 18 m", booked: both(planned(18, 22), to(gas.Ft(60))),
			said: one(32.1),
			want: want{status: StatusGo, rules: found(RuleDepthLimit, Pass), max: 18}},
		{name: "planned deeper", booked: to(gas.M(29)), said: one(32.1), want: only(StatusNoGo, RuleDepthLimit, NoGo)},
		{name: "a leader set a depth within it", booked: to(gas.M(29)),
			said: append(one(32.1), set(ines, 29)),
			want: want{status: StatusLimits, rules: found(RuleDepthLimit, Limits), max: 29}},
		{name: "not within it", booked: to(gas.M(28)),
			said: append(one(32.1), set(ines, 29)),
			want: only(StatusNoGo, RuleDepthLimit, NoGo)},
		{name: "crew can't", booked: to(gas.M(29)),
			said: append(one(32.1), set(noor, 29)),
			want: only(StatusNoGo, RuleDepthLimit, NoGo)},
		{name: "a leader's depth doesn't lift the MOD's no-go",
			said: append(one(36.0), set(ines, 20)),
			want: only(StatusNoGo, RuleDepth, NoGo)},
	})
}
