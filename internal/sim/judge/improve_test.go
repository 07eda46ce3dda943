package judge

import (
	"testing"

	"gasmuster/internal/roster"
)

func TestMayImprove(t *testing.T) {
	reading := reads("07:30", tomasz, c17, "r1", 32)
	for _, s := range []struct {
		name string
		of   roster.PersonID
		said Said
		want bool
	}{
		{"a reading of theirs", tomasz, reads("07:40", tomasz, c17, "r2", 32.1), true},
		{"the shop's", tomasz, reads("07:40", Shop, c17, "r2", 32.1), false},
		{"a reading of somebody else's", tomasz, reads("07:40", ana, c22, "r2", 32.1), false},
		{"the analyser showed it", tomasz, says("07:40", tomasz, SaidShown, of("r1")), true},
		{"an air point that passes", tomasz, says("07:40", ana, SaidAirPoint, on("A"), air(20.9)), true},
		{"one that fails", tomasz, says("07:40", ana, SaidAirPoint, on("A"), air(21.3)), false},
		{"a card seen by crew", tomasz, says("07:40", noor, SaidCard, about(tomasz), card(CardSeen)), true},
		{"by a leader, their own", ines, says("07:40", ines, SaidCard, about(ines), card(CardSeen)), false},
		{"with a witness", ines, says("07:40", ines, SaidCard, about(ines), card(CardSeen), witness(ana)), true},
		{"kept", tomasz, says("08:40", tomasz, SaidBoatAnswer, cylinder(c17), boat(BoatKept)), true},
		{"changed", tomasz, says("08:40", tomasz, SaidBoatAnswer, cylinder(c17), boat(BoatChanged)), false},
		{"re-planned by a leader", tomasz, says("07:40", ines, SaidReplanned, cylinder(c17)), true},
		{"re-planned by the diver", tomasz, says("07:40", tomasz, SaidReplanned, cylinder(c17)), false},
		{"re-planned by a leader, their own", ines, says("07:40", ines, SaidReplanned, cylinder(c18)), false},
		{"a plan by a leader", tomasz, says("07:40", ines, SaidPlan, diveNo(1), plan(Dive{Depth: 30, Minutes: 22,
			Interval: 90})), true},
		{"an interval by the shop after the first reading", tomasz, says("07:40", Shop, SaidPlan, diveNo(1),
			plan(Dive{Depth: 30, Minutes: 22, Interval: 90})), false},
		{"shallower by the shop", tomasz, says("07:40", Shop, SaidPlan, diveNo(1), plan(Dive{Depth: 20,
			Minutes: 22})), true},
		{"a policy by the shop after the first reading", tomasz, says("07:40", Shop, SaidPolicy), false},
		{"a leader's consent", tomasz, says("07:40", ines, SaidConsent), true},
		{"another cylinder", tomasz, says("07:40", tomasz, SaidAnother, cylinder(c17), label("30")), false},
		{"moved by a leader", tomasz, says("07:40", ines, SaidMoved, cylinder(c17), diveNo(2)), true},
		{"moved by its diver", tomasz, says("07:40", tomasz, SaidMoved, cylinder(c17), diveNo(2)), false},
		{"a request", tomasz, says("07:40", tomasz, SaidRequest, cylinder(c17), asks(30)), false},
		{"an answer about earlier dives", tomasz, says("07:40", tomasz, SaidLast24, about(tomasz)), false},
		{"leaving", tomasz, says("07:40", ana, SaidLeft, about(ana)), false},
		{"a name", tomasz, says("07:40", tomasz, SaidRenamed, about(tomasz)), false},
		{"a fill", tomasz, says("07:40", Shop, SaidFill, cylinder(c17)), false},
		{"dived, for all", ines, says("09:40", ines, SaidDived, diveNo(1)), true},
		{"dived, for themself", ines, says("09:40", ines, SaidDived, diveNo(1), about(ines)), false},
		{"dived, by the diver", tomasz, says("09:40", tomasz, SaidDivedMyself, diveNo(1)), false},
		{"out by a leader", ana, says("07:40", ines, SaidOut, about(tomasz)), true},
		{"helium was a slip, by themself", tomasz, says("07:40", tomasz, SaidHeliumSlip, about(tomasz)), false},
	} {
		t.Run(s.name, func(t *testing.T) {
			d := Open(booked())
			d.Hear(reading)
			if got := d.MayImprove(s.of, s.said); got != s.want {
				t.Errorf("got %v, want %v", got, s.want)
			}
		})
	}
}

func TestGreener(t *testing.T) {
	limit := func(r ...Rule) DiverVerdict {
		v := DiverVerdict{Status: StatusLimits, Rules: map[Rule]Severity{}}
		for _, r := range r {
			v.Rules[r] = Limits
		}
		return v
	}
	is := func(s Status) DiverVerdict { return DiverVerdict{Status: s} }
	for _, s := range []struct {
		name          string
		before, after DiverVerdict
		want          bool
	}{
		{"no-go to go", is(StatusNoGo), is(StatusGo), true},
		{"not cleared to limits", is(StatusNotCleared), limit(RuleTeam), true},
		{"no-go to not cleared", is(StatusNoGo), is(StatusNotCleared), false},
		{"limits to go", limit(RuleTeam), is(StatusGo), true},
		{"a limit gone", limit(RuleTeam, RuleBottom), DiverVerdict{Status: StatusLimits,
			Rules: map[Rule]Severity{RuleBottom: Limits, RuleTeam: Pass}}, true},
		{"go to limits", is(StatusGo), limit(RuleTeam), false},
		{"no-go to out", is(StatusNoGo), is(StatusOut), false},
	} {
		t.Run(s.name, func(t *testing.T) {
			if got := Greener(s.before, s.after); got != s.want {
				t.Errorf("got %v, want %v", got, s.want)
			}
		})
	}
}
