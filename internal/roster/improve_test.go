package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// What the shop changes after the first reading waits for a leader, where it is
// not stricter (product rules).
func TestWhatTheShopChangesWaits(t *testing.T) {
	trip := ready()
	shallow := roster.Dive{Site: "Lime Kiln", Depth: gas.M(20), Bottom: gas.M(25), Minutes: 20, Interval: 0,
		Water: gas.Fresh, Altitude: 300}
	trip.SetDive(1, shallow, "", "", at(50))
	if d := trip.Dives[0]; d.Depth != gas.M(20) || d.Minutes != 20 || d.Site != "Lime Kiln" || d.Bottom != gas.M(30) ||
		d.Water != gas.Salt || d.Altitude != 0 {
		t.Errorf("without consent: %+v", d)
	}
	trip.SetDeparture(departs.Add(-time.Hour), "", at(50))
	looser := trip.Policy
	looser.GF, looser.Tolerance, looser.Deepest = 90, 0.5, gas.M(60)
	trip.SetPolicy(looser, "", at(50))
	if p := trip.Policy; p.GF != 85 || p.Tolerance != 0.5 || p.Deepest != gas.M(40) || !trip.Departs.Equal(departs) {
		t.Errorf("without consent: %+v, departs %v", p, trip.Departs)
	}
	if trip.Consent(tomasz, at(51)) || !trip.Consent(ines, at(51)) || trip.Consent(ines, at(52)) {
		t.Fatal("a leader consents once, nobody else")
	}
	if trip.Policy != looser || !trip.Departs.Equal(departs.Add(-time.Hour)) || trip.Dives[0].Water != gas.Fresh ||
		trip.Dives[0].Bottom != gas.M(25) {
		t.Errorf("with consent: %+v, %v, %+v", trip.Policy, trip.Departs, trip.Dives[0])
	}
	if trip.SetPolicy(trip.Policy, ines, at(53)) {
		t.Error("a policy by a leader alone")
	}
	later := departs.Add(2 * time.Hour)
	if trip.SetDeparture(later, "", at(54)); !trip.Departs.Equal(later) {
		t.Error("a later start holds at once")
	}
	deep := trip.Dives[0]
	deep.Depth = gas.M(60.5)
	if trip.SetDive(1, deep, ines, "", at(55)) {
		t.Error("a plan beyond the policy's deepest")
	}
}

func TestALeadersPlanDropsWhatWaited(t *testing.T) {
	trip := ready()
	trip.SetDive(1, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(30), Minutes: 22, Altitude: 300}, "",
		"", at(50))
	if !trip.Wanted.Any() {
		t.Fatal("nothing waits")
	}
	trip.SetDive(1, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(28), Bottom: gas.M(30), Minutes: 22}, ines, "", at(51))
	if trip.Wanted.Any() || trip.Dives[0].Depth != gas.M(28) {
		t.Errorf("waits: %+v", trip.Wanted)
	}
}

func TestATeamsLimitStaysUntilALeaderMovesThem(t *testing.T) {
	trip := ready()
	trip.SetTeam(tomasz, "1", ines, at(40))
	trip.SetTeam(marit, "1", ines, at(40))
	trip.SetTeamLimit(roster.Limit{Team: "1", Depth: gas.M(20), By: ines}, at(41))
	if c := line(t, trip, tomasz, at(42)); c.Status != gas.GoWithLimits || c.Max != gas.M(20) {
		t.Errorf("got %v, %v", c.Status, c.Max)
	}
	trip.SetTeam(tomasz, "2", "", at(43))
	trip.SetTeam(marit, "2", ines, at(43))
	if c := line(t, trip, tomasz, at(44)); c.Max != gas.M(20) {
		t.Errorf("moved by the shop: %v", c.Max)
	}
	if c := line(t, trip, marit, at(44)); c.Max != gas.M(33) || c.Status != gas.Go {
		t.Errorf("moved by a leader: %v, %v", c.Status, c.Max)
	}
}

// A leader's depth within the qualification lifts rule depth-limit alone.
func TestALeadersDepthTurnsNoNoGoIntoAGo(t *testing.T) {
	trip := ready()
	trip.SetDepthLimit(tomasz, gas.M(18), ines, "", at(40))
	is(t, "planned deeper than qualified", line(t, trip, tomasz, at(41)), gas.NoGo)
	trip.SetLimit(tomasz, roster.Limit{Depth: gas.M(18), By: ines}, at(42))
	if c := line(t, trip, tomasz, at(43)); c.Status != gas.GoWithLimits || c.Max != gas.M(18) {
		t.Errorf("set a depth within it: %v, %v", c.Status, c.Max)
	}
	trip = charter()
	read(trip, "c4", 36.2, tomasz, at(0))
	trip.SetLimit(tomasz, roster.Limit{Depth: gas.M(18), By: ines}, at(1))
	is(t, "36.2 and a depth of 18 m", line(t, trip, tomasz, at(2)), gas.NoGo)
}

func TestAQuestionKeepsEveryCylinderItMayMean(t *testing.T) {
	trip := ready()
	q := trip.Ask([]roster.CylinderID{"c4", "c5"}, roster.QuestionWhich, 34, tomasz, at(40))
	for n := 1; n <= 2; n++ {
		is(t, "asked about", clearance(t, trip, tomasz, n, at(41)), gas.NotCleared, roster.NeedAnswer)
	}
	trip.CloseQuestion(q, false, tomasz, at(42))
	is(t, "taken back", line(t, trip, tomasz, at(43)), gas.Go)
}

func TestHeliumIsOutsideThisCheck(t *testing.T) {
	trip := ready()
	trip.MustSpeak(tomasz, roster.Speak{At: at(40), Was: "18/45"})
	is(t, "named", line(t, trip, tomasz, at(41)), gas.NotCleared, roster.NeedSpeak)
	trip.SetOutside(tomasz, 1, ines, "trimix", at(42))
	b := board(t, trip, 1, at(43))
	if c := b.Of(tomasz); c.State() != "outside" || c.Active || b.Counts.Outside != 1 || b.Counts.Active != 1 ||
		b.Status != gas.Go {
		t.Errorf("outside: %s, %+v, %v", c.State(), b.Counts, b.Status)
	}
	trip.EndOutside(tomasz, 1, ines, at(44))
	is(t, "taken back: the word stays", line(t, trip, tomasz, at(45)), gas.NotCleared, roster.NeedSpeak)
	if trip.Settled(tomasz, tomasz, at(46)) || !trip.Settled(tomasz, ines, at(46)) {
		t.Error("a slip by a leader's word, not by their own")
	}
	is(t, "a slip", line(t, trip, tomasz, at(47)), gas.Go)
}

// Each thing that was said is settled by itself, and no word settles another.
func TestEachThingSaidIsSettledByItself(t *testing.T) {
	trip := ready()
	leak := trip.MustSpeak(tomasz, roster.Speak{At: at(40), Was: "it leaks", Kind: roster.SpeakLeak})
	card := trip.MustSpeak(tomasz, roster.Speak{At: at(41), Was: "no card", Kind: roster.SpeakNoCard})
	if again := trip.MustSpeak(tomasz, roster.Speak{At: at(42), Was: "it leaks",
		Kind: roster.SpeakLeak}); again != leak || card == leak {
		t.Errorf("the same words again are %q, first %q; others %q", again, leak, card)
	}
	if trip.Settled(tomasz, ines, at(43), "w999999") || !trip.Settled(tomasz, ines, at(43), leak) ||
		trip.Settled(tomasz, ines, at(44), leak) {
		t.Error("settled once, by its own id")
	}
	is(t, "the other one stays", line(t, trip, tomasz, at(45)), gas.NotCleared, roster.NeedSpeak)
	if later := trip.MustSpeak(tomasz, roster.Speak{At: at(46), Was: "it leaks", Kind: roster.SpeakLeak}); later == leak {
		t.Error("what was settled and is said again is another matter")
	}
	if !trip.Settled(tomasz, ines, at(47)) {
		t.Error("a leader may settle all of it")
	}
	is(t, "all settled", line(t, trip, tomasz, at(48)), gas.Go)
}

// One button names all that is to be settled: more than it can carry is not kept.
func TestWhatIsToBeSettledIsBounded(t *testing.T) {
	trip := ready()
	kept := 0
	for i := range 20 {
		if trip.MustSpeak(tomasz, roster.Speak{At: at(40 + i), Was: string(rune('a' + i)), Kind: roster.SpeakLeak}) != "" {
			kept++
		}
	}
	if kept != 5 || len(trip.Person(tomasz).Speak) != kept {
		t.Errorf("%d of 20 things are kept, as %v", kept, trip.Person(tomasz).Speak)
	}
	is(t, "still to be settled", line(t, trip, tomasz, at(70)), gas.NotCleared, roster.NeedSpeak)
}

func TestWhoLeftIsBroughtBackByALeader(t *testing.T) {
	trip := ready()
	trip.Leave(tomasz, tomasz, "", at(40))
	trip.Join(tomasz, roster.Address{Channel: "web", ID: "1"}, "", at(41))
	is(t, "joined again", line(t, trip, tomasz, at(42)), gas.NotCleared, roster.NeedLeft)
	if trip.BringBack(tomasz, tomasz, at(43)) || !trip.BringBack(tomasz, ines, at(43)) {
		t.Error("only a leader brings back")
	}
	is(t, "back", line(t, trip, tomasz, at(44)), gas.Go)
}

func TestASeriesOfTheShopIsSetAside(t *testing.T) {
	trip := charter()
	trip.AddPerson(&roster.Person{ID: yusuf, Name: "Yusuf", Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{ID: "c9", Asked: 32, Dive: 1}}}, "", dawn)
	for i, c := range []roster.CylinderID{"c4", "c6", "c9"} {
		trip.Record(c, roster.Reading{Percent: 34.3, At: at(-60 + i), Ref: "s" + string(c)}, at(-60+i))
		if trip.SetAsideSeries(ines, at(i)) {
			t.Fatalf("set aside with %d cylinders", i)
		}
		read(trip, c, 32.1, owner(trip, c), at(2*i))
	}
	if c := line(t, trip, tomasz, at(10)); !c.Verdict.SeverityOf(gas.RuleRepeat).Worse(gas.Note) {
		t.Errorf("2.2 off: %v", c.Verdict.SeverityOf(gas.RuleRepeat))
	}
	if trip.SetAsideSeries(tomasz, at(11)) || !trip.SetAsideSeries(ines, at(11)) {
		t.Error("only a leader sets a series aside")
	}
	is(t, "set aside", line(t, trip, tomasz, at(12)), gas.Go)
}

// Only a diver's own dive 1 weighs on dive 2, however they move its cylinder.
func TestMovingTheFirstDivesCylinderHelpsNoSecond(t *testing.T) {
	trip := ready()
	was := clearance(t, trip, tomasz, 2, at(40)).MaxMinutes
	trip.Retire("c4", tomasz, "", at(41))
	if c := clearance(t, trip, tomasz, 2, at(42)); c.MaxMinutes > was {
		t.Errorf("from %v to %v minutes", was, c.MaxMinutes)
	}
	trip.ConfirmMoved("c4", 1, ines, at(43))
	if c := clearance(t, trip, tomasz, 2, at(44)); c.MaxMinutes <= was {
		t.Errorf("not dived, by a leader: %v, was %v", c.MaxMinutes, was)
	}
}

// By an interval that the shop alone made shorter no reading is younger. It counts for the nitrogen at once, and waits
// for a leader, in whose hands the start is.
func TestAShorterIntervalMakesNoReadingFresh(t *testing.T) {
	later := func() *roster.Draft {
		trip := charter()
		trip.SetDive(2, roster.Dive{Site: "Lime Kiln Wall", Depth: gas.M(18), Minutes: 40, Interval: 240}, ines, "", at(-900))
		read(trip, "c5", 35.8, tomasz, at(-1100)) // 24 h 15 min before dive 2
		return trip
	}
	shorter := func(trip *roster.Draft, by roster.PersonID, now int) {
		plan := trip.Dives[1]
		plan.Interval = 60
		trip.SetDive(2, plan, by, "", at(now))
	}
	trip := later()
	is(t, "too old at the start", clearance(t, trip, tomasz, 2, at(0)), gas.NotCleared, roster.NeedReading)
	shorter(trip, "", 1)
	is(t, "made shorter by the shop", clearance(t, trip, tomasz, 2, at(2)), gas.NotCleared, roster.NeedReading)
	if got := trip.GasDive(2).Interval; got != 60 || !trip.Wanted.Any() {
		t.Errorf("nitrogen by %v minutes, waits %v; want 60, and a leader asked", got, trip.Wanted.Any())
	}
	plan := trip.Dives[1]
	plan.Interval = 240
	trip.SetDive(2, plan, "", "", at(3)) // and back: longer waits
	is(t, "and longer again", clearance(t, trip, tomasz, 2, at(4)), gas.NotCleared, roster.NeedReading)
	shorter(trip, "", 5)
	trip.Consent(ines, at(6))
	is(t, "agreed", clearance(t, trip, tomasz, 2, at(7)), gas.Go)

	trip = later()
	shorter(trip, ines, 1)
	is(t, "by a leader", clearance(t, trip, tomasz, 2, at(2)), gas.Go)
}

func TestStarts(t *testing.T) {
	trip := charter()
	trip.EditPlan().FirstDiveAfter = 30
	// 22 min, 30 m at 9 m/min (3 min 20 s) and 60 min at the surface.
	for n, want := range map[int]time.Duration{1: 30 * time.Minute,
		2: 30*time.Minute + 22*time.Minute + 200*time.Second + time.Hour} {
		if got := trip.Starts(n).Sub(departs).Round(time.Second); got != want {
			t.Errorf("dive %d starts %v after departure, want %v", n, got, want)
		}
	}
}
