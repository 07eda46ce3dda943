package judge

import (
	"testing"

	"gasmuster/internal/roster"
)

func TestAnotherCylinder(t *testing.T) {
	another := func(at, by, l string) Said {
		return says(at, roster.PersonID(by), SaidAnother, cylinder(c17), label(l))
	}
	first := reads("07:00", tomasz, c17, "r1", 32.1)
	noGo := reads("07:00", tomasz, c17, "r1", 36.0)
	then := func(v float64) Said { return reads("07:10", tomasz, c17, "r2", v) }
	unread := want{status: StatusNotCleared, needs: []Need{NeedReading}}
	tell(t, []story{
		{name: "it is not analysed", said: []Said{first, another("07:05", "tomasz", "30")}, want: unread},
		{name: "its own history",
			said: []Said{noGo, another("07:05", "tomasz", "30"), then(32.1)},
			want: want{status: StatusGo, compared: readingIDs("r2")}},
		{name: "after a no-go without a different label",
			said: []Said{noGo, another("07:05", "tomasz", "17"), then(32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "after a no-go without a label",
			said: []Said{noGo, another("07:05", "tomasz", ""), then(32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "swapped by crew",
			said: []Said{noGo, another("07:05", "noor", ""), then(32.1)},
			want: want{status: StatusGo, compared: readingIDs("r2")}},
		{name: "not by another diver",
			said: []Said{noGo, another("07:05", "ana", "30"), then(32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "a label that comes back has its history",
			said: []Said{noGo, another("07:05", "tomasz", "30"), another("07:06", "tomasz", "17"), then(32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
		{name: "and none counts until it is analysed again",
			said: []Said{first, another("07:05", "tomasz", "30"), another("07:06", "tomasz", " 17 ")},
			want: unread},
		{name: "nor does a kept answer from before",
			said: []Said{first, opened("07:01"), another("07:05", "tomasz", "30"), then(32.1)},
			want: want{status: StatusGo, counting: readingIDs("r2")}},
		{name: "a label put right keeps its readings",
			said: []Said{first, says("07:05", tomasz, SaidLabel, cylinder(c17), label("71"))},
			want: want{status: StatusGo, counting: readingIDs("r1")}},
	})
}

func TestFills(t *testing.T) {
	first := reads("07:00", tomasz, c17, "r1", 32.1)
	fill := func(by roster.PersonID) Said { return says("07:05", by, SaidFill, cylinder(c17)) }
	unread := want{status: StatusNotCleared, needs: []Need{NeedReading}}
	again := reads("07:10", tomasz, c17, "r2", 32.2)
	tell(t, []story{
		{name: "by the shop",
			said: []Said{first, fill(Shop), again},
			want: want{status: StatusGo, compared: readingIDs("r2")}},
		{name: "by crew",
			said: []Said{first, fill(noor), again},
			want: want{status: StatusGo, compared: readingIDs("r2")}},
		{name: "by its diver",
			said: []Said{first, fill(tomasz), again},
			want: want{status: StatusGo, compared: readingIDs("r1", "r2"), counting: readingIDs("r2")}},
		{name: "by another diver",
			said: []Said{first, fill(ana), again},
			want: want{status: StatusGo, compared: readingIDs("r1", "r2"), counting: readingIDs("r2")}},
		{name: "voids", said: []Said{first, fill(noor)}, want: unread},
		{name: "its diver's voids, too", said: []Said{first, fill(tomasz)}, want: unread},
		{name: "a leader's for themself is its diver's", of: ines, said: []Said{reads("07:00", ines, c18, "r1", 36.0),
			says("07:05", ines, SaidFill, cylinder(c18)), reads("07:10", ines, c18, "r2", 32.1)},
			want: only(StatusNoGo, RuleDepth, NoGo)},
	})
}

func TestQuestionsAndClaims(t *testing.T) {
	first := reads("07:00", tomasz, c17, "r1", 32.1)
	open := says("07:05", tomasz, SaidQuestion, inquiry(c17))
	claim := says("07:05", ana, SaidLabel, cylinder(c22), label("17"))
	sitOut := says("07:06", ines, SaidOut, about(ana), diveNo(1))
	tell(t, []story{
		{name: "a number being asked about",
			said: []Said{first, open},
			want: want{status: StatusNotCleared, rules: found(RuleQuestion, NotCleared), needs: []Need{NeedAnswer}}},
		{name: "answered",
			said: []Said{first, open, says("07:06", tomasz, SaidAnswer, inquiry())},
			want: only(StatusGo, RuleQuestion, Pass)},
		{name: "taken back",
			said: []Said{first, open, says("07:06", tomasz, SaidWithdrawn, inquiry())},
			want: only(StatusGo, RuleQuestion, Pass)},
		{name: "of another cylinder", of: ana,
			said: []Said{reads("07:00", ana, c22, "r", 32.1), open},
			want: only(StatusGo, RuleQuestion, Pass)},
		{name: "one cylinder claimed by two",
			said: []Said{first, claim},
			want: want{status: StatusNotCleared, rules: found(RuleSameCylinder, NotCleared),
				needs: []Need{NeedCylinder}}},
		{name: "not cleared for both", of: ana,
			said: []Said{first, reads("07:00", ana, c22, "r2", 32.1), claim},
			want: only(StatusNotCleared, RuleSameCylinder, NotCleared)},
		{name: "the other changes theirs",
			said: []Said{first, claim, says("07:06", ana, SaidLabel, cylinder(c22), label("23"))},
			want: only(StatusGo, RuleSameCylinder, Pass)},
		{name: "who changes has to analyse again", of: ana,
			said: []Said{reads("07:00", ana, c22, "r2", 32.1), claim, says("07:06", ana, SaidLabel, cylinder(c22),
				label("23"))},
			want: only(StatusNotCleared, RuleNoReading, NotCleared)},
		{name: "the other sits out", said: []Said{first, claim, sitOut}, want: only(StatusGo, RuleSameCylinder, Pass)},
		{name: "the other left",
			said: []Said{first, claim, says("07:06", ana, SaidLeft, about(ana))},
			want: only(StatusNotCleared, RuleSameCylinder, NotCleared)},
	})
}

// Weather known: 30 C and 80 % RH, air is 20.25 % (reference/README.md, computed).
func TestAirPoints(t *testing.T) {
	hot := humid(30, 80)
	earlier := func(at string, v float64) Said { return says(at, noor, SaidAirPoint, on("A"), air(v)) }
	tell(t, []story{
		{name: "20.2 is a note", said: one(32.1, air(20.2)), want: only(StatusGo, RuleAirPoint, Note)},
		{name: "20.1 does not count",
			said: one(32.1, air(20.1)),
			want: want{status: StatusNotCleared, rules: found(RuleAirPoint, NotCleared), needs: []Need{NeedAirPoint}}},
		{name: "20.6 is a note", said: one(32.1, air(20.6)), want: only(StatusGo, RuleAirPoint, Note)},
		{name: "20.7 passes", said: one(32.1, air(20.7)), want: only(StatusGo, RuleAirPoint, Pass)},
		{name: "21.1 passes", said: one(32.1, air(21.1)), want: only(StatusGo, RuleAirPoint, Pass)},
		{name: "21.2 does not count", said: one(32.1, air(21.2)), want: only(StatusNotCleared, RuleAirPoint, NotCleared)},
		{name: "for depth 32.1 x 20.9 / 20.2 is 33.2: 32 m",
			said: one(32.1, air(20.2)),
			want: want{status: StatusGo, max: 32}},
		{name: "and also where it does not count: 32.1 x 20.9 / 20.1 is 33.4: 31 m",
			said: append(one(32.1, air(20.1)), reads("07:35", noor, c17, "r2", 32.1)),
			want: want{status: StatusGo, max: 31}},
		{name: "hot and humid: 20.4 passes", said: one(32.1, air(20.4), hot), want: only(StatusGo, RuleAirPoint, Pass)},
		{name: "hot and humid: 20.9 does not",
			said: one(32.1, air(20.9), hot),
			want: only(StatusNotCleared, RuleAirPoint, NotCleared)},
		{name: "hot and humid, no air point: 31.1 for time",
			said: one(32.1, hot),
			want: want{status: StatusGo, rules: found(RuleHumidAir, Note), max: 33, minutes: 23}},
		{name: "where that costs minutes", booked: planned(30, 24),
			said: one(32.1, hot),
			want: only(StatusLimits, RuleHumidAir, Limits)},
		{name: "the last on that analyser, 60 minutes before",
			said: append([]Said{earlier("06:30", 21.5)}, one(32.1, on("A"))...),
			want: only(StatusNotCleared, RuleAirPoint, NotCleared)},
		{name: "not 61 minutes before",
			said: append([]Said{earlier("06:29", 21.5)}, one(32.1, on("A"))...),
			want: only(StatusGo, RuleAirPoint, NotApplicable)},
		{name: "not on another",
			said: append([]Said{earlier("06:30", 21.5)}, one(32.1, on("B"))...),
			want: only(StatusGo, RuleAirPoint, NotApplicable)},
		{name: "a later one changes nothing",
			said: append(one(32.1, on("A")), earlier("07:35", 21.5)),
			want: only(StatusGo, RuleAirPoint, NotApplicable)},
	})
}
