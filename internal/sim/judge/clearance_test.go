package judge

import (
	"testing"

	"gasmuster/internal/roster"
)

func TestPersons(t *testing.T) {
	first := reads("07:00", tomasz, c17, "r1", 32.1)
	mine := reads("07:00", ines, c18, "r2", 32.1)
	helium := says("07:05", tomasz, SaidHelium, about(tomasz))
	outside := func(by roster.PersonID) Said { return says("07:06", by, SaidOutside, about(tomasz)) }
	slip := func(by roster.PersonID) Said { return says("07:06", by, SaidHeliumSlip, about(tomasz)) }
	out := func(by roster.PersonID) Said { return says("07:06", by, SaidOut, about(tomasz), diveNo(1)) }
	back := func(by roster.PersonID) Said { return says("07:07", by, SaidBack, about(tomasz), diveNo(1)) }
	of := func(by roster.PersonID, what Kind, dive int) Said {
		return says("07:06", by, what, about(ines), diveNo(dive))
	}
	twoLead := func(b *Booked) { b.People[1].Leader = true }
	left := says("07:05", tomasz, SaidLeft, about(tomasz))
	speak := want{status: StatusNotCleared, needs: []Need{NeedSpeak}}
	tell(t, []story{
		{name: "helium named", said: []Said{first, helium}, want: speak},
		{name: "outside by a leader",
			said: []Said{first, helium, outside(ines)},
			want: want{status: StatusOutside, needs: []Need{}}},
		{name: "outside by the shop", said: []Said{first, helium, outside(Shop)}, want: want{status: StatusOutside}},
		{name: "not by crew", said: []Said{first, helium, outside(noor)}, want: speak},
		{name: "a leader's word that it was a slip",
			said: []Said{first, helium, slip(ines)},
			want: want{status: StatusGo}},
		{name: "not the diver's own", said: []Said{first, helium, slip(tomasz)}, want: speak},
		{name: "a leader never for themself", of: ines,
			said: []Said{mine, says("07:06", ines, SaidOutside, about(ines))},
			want: want{status: StatusGo}},
		{name: "sits out", said: []Said{out(ines)}, want: want{status: StatusOut}},
		{name: "not by crew's word", said: []Said{first, out(noor)}, want: want{status: StatusGo}},
		{name: "back by a leader", said: []Said{first, out(ines), back(ines)}, want: want{status: StatusGo}},
		{name: "not by the diver", said: []Said{first, out(ines), back(tomasz)}, want: want{status: StatusOut}},
		{name: "back by themself from what they said", of: ines,
			said: []Said{mine, of(ines, SaidOut, 1), of(ines, SaidBack, 1)}, want: want{status: StatusGo}},
		{name: "not from what another leader said", of: ines, booked: twoLead,
			said: []Said{mine, of(tomasz, SaidOut, 1), of(ines, SaidBack, 1), of(ines, SaidBack, 0)},
			want: want{status: StatusOut}},
		{name: "nor from what another said after them", of: ines, booked: twoLead,
			said: []Said{mine, of(ines, SaidOut, 1), of(tomasz, SaidOut, 1), of(ines, SaidBack, 1)},
			want: want{status: StatusOut}},
		{name: "that takes another leader", of: ines, booked: twoLead,
			said: []Said{mine, of(tomasz, SaidOut, 1), of(tomasz, SaidBack, 1)}, want: want{status: StatusGo}},
		{name: "left", said: []Said{first, left}, want: want{status: StatusNotCleared, needs: []Need{NeedLeft}}},
		{name: "left, and out", said: []Said{first, left, out(ines)}, want: want{status: StatusOut}},
		{name: "brought back by a leader",
			said: []Said{first, left, says("07:06", ines, SaidBroughtBack, about(tomasz))},
			want: want{status: StatusGo}},
		{name: "not by themself",
			said: []Said{first, left, says("07:06", tomasz, SaidBroughtBack, about(tomasz))},
			want: want{status: StatusNotCleared, needs: []Need{NeedLeft}}},
		{name: "who was forgotten is brought back by nobody",
			said: []Said{first, says("07:05", tomasz, SaidForgot, about(tomasz)),
				says("07:06", ines, SaidBroughtBack, about(tomasz))},
			want: want{status: StatusNotCleared, needs: []Need{NeedLeft}}},
		{name: "no cylinder", booked: func(b *Booked) { b.People[1].Cylinders = nil },
			want: want{status: StatusNotCleared, needs: []Need{NeedCylinder}}},
		{name: "renamed",
			said: []Said{first, says("07:05", tomasz, SaidRenamed, about(tomasz))},
			want: want{status: StatusGo}},
	})
}

func TestLimits(t *testing.T) {
	team := func(name string) func(*Said) { return func(s *Said) { s.Team = name } }
	teams := func(b *Booked) { b.People[0].Team, b.People[1].Team = "1", "1" }
	twoLead := func(b *Booked) { teams(b); b.People[1].Leader = true }
	first := reads("07:00", tomasz, c17, "r1", 32.1)
	mine := reads("07:00", ines, c18, "r2", 32.1)
	ofTeam := says("07:05", ines, SaidLimit, team("1"), diveNo(1), limit(25, 0))
	free := says("07:06", ines, SaidLimit, team("1"), diveNo(1))
	of1 := func(by roster.PersonID, to roster.PersonID, depth, minutes float64) Said {
		return says("07:05", by, SaidLimit, about(to), diveNo(1), limit(depth, minutes))
	}
	free25 := want{status: StatusLimits, rules: found(RuleTeam, Limits), max: 25}
	tell(t, []story{
		{name: "a depth",
			said: []Said{first, of1(ines, tomasz, 25, 0)},
			want: want{status: StatusLimits, rules: found(RuleOwnLimit, Limits), max: 25}},
		{name: "minutes",
			said: []Said{first, of1(ines, tomasz, 0, 20)},
			want: want{status: StatusLimits, rules: found(RuleOwnLimit, Limits), minutes: 20}},
		{name: "as deep as the plan is none",
			said: []Said{first, of1(ines, tomasz, 30, 22)},
			want: want{status: StatusGo, max: 30, minutes: 22}},
		{name: "for another dive",
			said: []Said{first, says("07:05", ines, SaidLimit, about(tomasz), diveNo(2), limit(25, 0))},
			want: want{status: StatusGo}},
		{name: "for all",
			said: []Said{first, says("07:05", ines, SaidLimit, about(tomasz), limit(25, 0))},
			want: want{status: StatusLimits, max: 25}},
		{name: "taken back by a leader",
			said: []Said{first, of1(ines, tomasz, 25, 0), of1(ines, tomasz, 0, 0)},
			want: want{status: StatusGo, max: 33}},
		{name: "minutes lift no depth",
			said: []Said{first, of1(ines, tomasz, 25, 0), of1(ines, tomasz, 0, 20)},
			want: want{status: StatusLimits, max: 25, minutes: 20}},
		{name: "a depth lifts no minutes",
			said: []Said{first, of1(ines, tomasz, 25, 20), of1(ines, tomasz, 27, 0)},
			want: want{status: StatusLimits, max: 27, minutes: 20}},
		{name: "neither lifts both",
			said: []Said{first, of1(ines, tomasz, 25, 20), of1(ines, tomasz, 0, 0)},
			want: want{status: StatusGo, max: 33}},
		{name: "a leader's own: shallower", of: ines,
			said: []Said{mine, of1(ines, ines, 25, 0)},
			want: want{status: StatusLimits, max: 25}},
		{name: "a leader's own is not taken back by themself", of: ines,
			said: []Said{mine, of1(ines, ines, 25, 0), of1(ines, ines, 28, 0), of1(ines, ines, 0, 0)},
			want: want{status: StatusLimits, max: 25}},
		{name: "of the team", booked: teams, said: []Said{first, ofTeam}, want: free25},
		{name: "minutes of the team lift no depth of it", booked: teams,
			said: []Said{first, ofTeam, says("07:06", ines, SaidLimit, team("1"), diveNo(1), limit(0, 20))},
			want: want{status: StatusLimits, rules: found(RuleTeam, Limits), max: 25, minutes: 20}},
		{name: "taken back", booked: teams, said: []Said{first, ofTeam, free}, want: want{status: StatusGo}},
		{name: "stays with the leader in it who took it back", of: ines, booked: teams,
			said: []Said{mine, ofTeam, free},
			want: free25},
		{name: "stays also when another leader says minutes", of: ines, booked: twoLead,
			said: []Said{mine, ofTeam, free, says("07:07", tomasz, SaidLimit, team("1"), diveNo(1), limit(0, 20))},
			want: want{status: StatusLimits, rules: found(RuleTeam, Limits), max: 25, minutes: 20}},
		{name: "stays when the shop moves them", booked: teams,
			said: []Said{first, ofTeam, says("07:06", Shop, SaidTeam, about(tomasz), team("2"))},
			want: free25},
		{name: "goes when a leader does", booked: teams,
			said: []Said{first, ofTeam, says("07:06", ines, SaidTeam, about(tomasz), team("2"))},
			want: want{status: StatusGo}},
	})
}

func TestMovedCylinders(t *testing.T) {
	two := func(b *Booked) {
		twoDives(32)(b)
		b.People[1].Cylinders = append(b.People[1].Cylinders, Cylinder{ID: "spare", Label: "40", Asked: 32, Dive: 1})
	}
	arrives := func(b *Booked) { two(b); b.Dives[1].Depth = 15; b.People[1].Cylinders[1].Dive = 1 }
	read := []Said{reads("07:00", tomasz, c17, "r1", 32.1), reads("07:01", tomasz, "spare", "r2", 36.3)}
	move := func(by roster.PersonID) Said { return says("07:05", by, SaidMoved, cylinder("spare"), diveNo(2)) }
	retire := func(by roster.PersonID) Said { return says("07:05", by, SaidRetired, cylinder("spare")) }
	stays := only(StatusNoGo, RuleDepth, NoGo)
	confirmed := says("07:06", ines, SaidNotUsed, cylinder("spare"), diveNo(1))
	then := func(s Said, more ...Said) []Said { return append(append(read[:2:2], s), more...) }
	tell(t, []story{
		{name: "one of two breaks a rule", booked: two, said: read, want: stays},
		{name: "moved by its diver", booked: two, said: then(move(tomasz)), want: stays},
		{name: "moved by the shop", booked: two, said: then(move(Shop)), want: stays},
		{name: "moved by a leader", booked: two, said: then(move(ines)), want: want{status: StatusGo}},
		{name: "confirmed by a leader", booked: two, said: then(move(tomasz), confirmed), want: want{status: StatusGo}},
		{name: "retired by its diver", booked: two, said: then(retire(tomasz)), want: stays},
		{name: "not analysed and retired by its diver", booked: two, said: []Said{read[0], retire(tomasz)},
			want: want{status: StatusNotCleared, needs: []Need{NeedSpeak}}},
		{name: "retired by a leader", booked: two, said: then(retire(ines)), want: want{status: StatusGo}},
		{name: "where it arrives, nothing read before counts", booked: arrives, dive: 2,
			said: then(move(tomasz)),
			want: only(StatusNotCleared, RuleNoReading, NotCleared)},
		{name: "until a leader confirms", booked: arrives, dive: 2,
			said: then(move(tomasz), confirmed),
			want: want{status: StatusLimits, rules: found(RuleNoReading, Pass)}},
		{name: "or it is read again", booked: arrives, dive: 2,
			said: then(move(tomasz), reads("07:07", tomasz, "spare", "r3", 36.3)),
			want: want{status: StatusLimits, rules: found(RuleNoReading, Pass)}},
		{name: "another in its place there doesn't take what it left", booked: two,
			said: then(move(tomasz), says("07:06", noor, SaidAnother, cylinder("spare"), label("50"))), want: stays},
		{name: "and a leader's word does", booked: two, said: then(move(tomasz),
			says("07:06", noor, SaidAnother, cylinder("spare"), label("50")), says("07:07", ines, SaidNotUsed,
				cylinder("spare"), diveNo(1))), want: want{status: StatusGo}},
		{name: "a cylinder for another dive changes nothing", booked: two,
			said: []Said{read[0], says("07:02", ines, SaidMoved, cylinder("spare"), diveNo(2)), reads("07:03", tomasz,
				"spare", "r2", 39.9)},
			want: want{status: StatusGo}},
	})
}

func TestPlansAndPolicies(t *testing.T) {
	first := reads("07:00", tomasz, c17, "r1", 36.1)
	change := func(by roster.PersonID, p Dive) Said { return says("07:05", by, SaidPlan, diveNo(1), plan(p)) }
	consent := func(by roster.PersonID) Said { return says("07:06", by, SaidConsent) }
	shallower := Dive{Site: "Anvil Ledge", Depth: 28, Minutes: 20}
	fresh := Dive{Site: "Anvil Ledge", Depth: 28, Minutes: 20, Altitude: 1000}
	loose := func(p Policy) func(*Said) { return func(s *Said) { s.Policy = p } }
	one2 := DefaultPolicy(0)
	one2.PPO2 = 1.2
	strict := func(b *Booked) { b.Policy.PPO2 = 1.2 }
	policy := says("07:05", Shop, SaidPolicy, loose(DefaultPolicy(0)))
	mild := reads("07:00", tomasz, c17, "r1", 32.1)
	tell(t, []story{
		{name: "too deep for 36.1", said: []Said{first}, want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "shallower by a leader",
			said: []Said{first, change(ines, shallower)},
			want: only(StatusLimits, RuleDepth, Pass)},
		{name: "shallower by the shop",
			said: []Said{first, change(Shop, shallower)},
			want: only(StatusLimits, RuleDepth, Pass)},
		{name: "not by crew", said: []Said{first, change(noor, shallower)}, want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "deeper than the deepest is refused",
			said: []Said{mild, change(ines, Dive{Depth: 41, Minutes: 5})},
			want: want{status: StatusGo}},
		{name: "altitude by the shop waits for a leader",
			said: []Said{mild, change(Shop, fresh)},
			want: want{status: StatusGo, max: 33}},
		{name: "and holds with their consent",
			said: []Said{mild, change(Shop, fresh), consent(ines)},
			want: want{status: StatusGo, max: 34}},
		{name: "not with crew's",
			said: []Said{mild, change(Shop, fresh), consent(noor)},
			want: want{status: StatusGo, max: 33}},
		{name: "a stricter policy by the shop holds at once",
			said: []Said{mild, says("07:05", Shop, SaidPolicy, loose(one2))},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "a looser one waits", booked: strict, said: []Said{mild, policy}, want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "for a leader", booked: strict, said: []Said{mild, policy, consent(ines)}, want: want{status: StatusGo}},
		{name: "or comes before the first reading", booked: strict,
			said: []Said{policy, reads("07:10", tomasz, c17, "r1", 32.1)},
			want: want{status: StatusGo}},
		{name: "not from a leader alone", booked: strict,
			said: []Said{says("06:00", ines, SaidPolicy, loose(DefaultPolicy(0))), mild},
			want: only(StatusNoGo, RuleDepth, NoGo)},
	})
}
