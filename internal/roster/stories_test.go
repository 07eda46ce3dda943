package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// The stories of this file are those in which a check of a whole boat once gave
// a false go. What each comes to is a product rule; 36 % at 30 m is a no-go by
// NOAA's 1.4 atm with 10 m to one atmosphere (MOD 28.9 m).

// sultry holds 20.25 % oxygen (gas law; see internal/gas).
var sultry = gas.Weather{Celsius: 30, Humidity: 80, Known: true}

// watched is a reading that Inês watched on a calibrated analyser.
func watched(t *roster.Draft, c roster.CylinderID, p gas.Percent, now time.Time) *roster.Reading {
	return t.Record(c, roster.Reading{Percent: p, At: now, Ref: now.String(), By: ines, Analyser: "A", AirPoint: 20.9},
		now)
}

func TestTheShopsAnalysisRenewsNothing(t *testing.T) {
	trip := charter()
	read(trip, "c4", 32.1, tomasz, at(-25*60))
	trip.Record("c4", roster.Reading{Percent: 32.1, At: at(0), Ref: "s"}, at(0))
	is(t, "a stale reading and the shop's", line(t, trip, tomasz, at(1)), gas.NotCleared, roster.NeedReading)
}

func TestTheShopsAnalysisOutvotesNoNoGo(t *testing.T) {
	trip := charter()
	read(trip, "c4", 36.2, tomasz, at(0))
	trip.Record("c4", roster.Reading{Percent: 32.1, At: at(5), Ref: "s1"}, at(5))
	trip.Record("c4", roster.Reading{Percent: 32.0, At: at(9), Ref: "s2"}, at(9))
	is(t, "36.2 and twice the shop's 32", line(t, trip, tomasz, at(10)), gas.NoGo, roster.NeedWitness)
}

func TestACylinderOfAnotherDiveClearsNobody(t *testing.T) {
	trip := charter()
	trip.AddPerson(&roster.Person{ID: yusuf, Name: "Yusuf", Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{ID: "c9", Asked: 36, Dive: 2}}}, "", dawn)
	read(trip, "c9", 35.8, yusuf, at(0))
	is(t, "on dive 1", line(t, trip, yusuf, at(1)), gas.NotCleared, roster.NeedCylinder)
	is(t, "on dive 2", clearance(t, trip, yusuf, 2, at(1)), gas.Go)
	trip.SitOut(yusuf, 1, ines, "gear", at(2))
	if c := line(t, trip, yusuf, at(3)); c.Active || c.State() != "out" {
		t.Errorf("set down as not diving it: got %s, active %v", c.State(), c.Active)
	}
}

func TestANoGoThatWasMovedToAnotherDiveStays(t *testing.T) {
	for name, by := range map[string]roster.PersonID{"its diver": tomasz, "the shop": ""} {
		trip := charter()
		read(trip, "c4", 36.2, tomasz, at(0))
		if !trip.MoveCylinder("c4", 2, by, at(1)) {
			t.Fatalf("%s: not moved", name)
		}
		is(t, name+" moved it", line(t, trip, tomasz, at(2)), gas.NoGo, roster.NeedCylinder)
		if trip.ConfirmMoved("c4", 1, tomasz, at(3)) || !trip.ConfirmMoved("c4", 1, ines, at(3)) {
			t.Fatalf("%s: only a leader other than its diver confirms it", name)
		}
		is(t, "a leader confirmed it", line(t, trip, tomasz, at(4)), gas.NotCleared, roster.NeedCylinder)
	}
	trip := charter()
	read(trip, "c4", 36.2, tomasz, at(0))
	trip.Retire("c4", tomasz, "valve", at(1))
	is(t, "retired by its diver", line(t, trip, tomasz, at(2)), gas.NoGo, roster.NeedCylinder)
}

func TestANumberOfASignedDivesCylinderBreaksIt(t *testing.T) {
	trip := signed(t)
	old := cylinder(t, trip, "c4").Readings[0]
	if trip.Correct(old.ID, 36.2, tomasz, at(60), at(60)) == nil {
		t.Fatal("not recorded")
	}
	if broke := trip.Breaks(at(60)); len(broke) != 1 || broke[0].Broken.Person != tomasz {
		t.Errorf("broken: %+v", broke)
	}
	is(t, "dive 1", line(t, trip, tomasz, at(61)), gas.NoGo, roster.NeedWitness)
	if c := cylinder(t, trip, "c5"); len(c.Readings) != 1 {
		t.Error("it went to dive 2's cylinder")
	}
}

func TestTwoDivesSignedAhead(t *testing.T) {
	trip := ready()
	signOff(t, trip, 1, at(40))
	signOff(t, trip, 2, at(41))
	trip.SetDived(1, roster.Dived{Depth: gas.M(33), Minutes: 30, By: ines}, at(120))
	broke := trip.Breaks(at(120))
	if len(broke) != 1 || broke[0].Dive != 2 || broke[0].Broken.What != "dived" {
		t.Errorf("broken: %+v, want dive 2 by what was dived", broke)
	}
}

func TestDivedAsPlannedIsNoDifference(t *testing.T) {
	trip := ready()
	signOff(t, trip, 1, at(40))
	signOff(t, trip, 2, at(41))
	trip.SetDived(1, roster.Dived{By: ines}, at(120))
	if broke := trip.Breaks(at(120)); len(broke) != 0 || !trip.Signed(1, at(600)) || !trip.Signed(2, at(120)) {
		t.Errorf("broken: %+v", broke[0].Broken)
	}
}

func TestTheQuestionSignCarriesTheFacts(t *testing.T) {
	trip := ready()
	asked := trip.FactsOf(1, at(30))
	if !asked.Same(trip.FactsOf(1, at(31))) {
		t.Error("a minute later they differ")
	}
	trip.SetDive(1, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(32), Bottom: gas.M(32), Minutes: 22}, ines, "", at(32))
	if b := asked.Differs(trip.FactsOf(1, at(33))); b == nil || b.What != "depth" || b.Was != "30 m" || b.Now != "32 m" {
		t.Errorf("asked at 30 m, now 32 m: got %+v", b)
	}
}

func TestDivedYesterdayTurnsNoNoGoIntoAGo(t *testing.T) {
	trip := charter()
	trip.EditDive(2).Depth, trip.EditDive(2).Bottom, trip.EditDive(2).Minutes = gas.M(30), gas.M(30), 140
	read(trip, "c4", 34.9, tomasz, at(0))
	read(trip, "c5", 34.9, tomasz, at(5)) // 150 min at 1.4 atm are the whole limit (NOAA)
	trip.SetDivedBefore(tomasz, "yes", at(6))
	if c := clearance(t, trip, tomasz, 2, at(7)); c.Status != gas.NoGo ||
		c.Verdict.SeverityOf(gas.RuleOxygenClock) != gas.Stop {
		t.Errorf("got %v: %+v", c.Status, c.Verdict.Reasons())
	}
	trip.SetDivedBefore(tomasz, "no", at(8))
	if trip.Person(tomasz).DivedBefore != "yes" {
		t.Error("a yes was taken back")
	}
	if c := line(t, trip, tomasz, at(9)); c.Status != gas.GoWithLimits ||
		c.Verdict.SeverityOf(gas.RuleDivedBefore) != gas.Limits {
		t.Errorf("the first dive: got %v", c.Status)
	}
}

func TestUndoAndANewNumberLiftNothing(t *testing.T) {
	trip := charter()
	read(trip, "c4", 32.2, tomasz, at(0))
	r := read(trip, "c4", 36.2, tomasz, at(5)) // unsettled
	trip.Undo(r.ID, tomasz, at(6))
	read(trip, "c4", 32.1, tomasz, at(9))
	is(t, "undone and read again", line(t, trip, tomasz, at(10)), gas.NoGo, roster.NeedWitness)
	watched(trip, "c4", 32.2, at(15))
	is(t, "settled", line(t, trip, tomasz, at(17)), gas.Go)
}

func TestALabelGivenBack(t *testing.T) {
	trip := charter()
	trip.SetLabel("c4", "17", tomasz, at(0))
	read(trip, "c4", 36.2, tomasz, at(1))
	if trip.Swap("c4", "", tomasz, "", at(2)) != nil || trip.Swap("c4", "1 7", tomasz, "", at(2)) != nil {
		t.Fatal("its diver changed a no-go without a different label")
	}
	b := trip.Swap("c4", "22", tomasz, "", at(3))
	is(t, "another", line(t, trip, tomasz, at(4)), gas.NotCleared, roster.NeedReading)
	c := trip.Swap(b.ID, "17", tomasz, "", at(5))
	is(t, "the first again", line(t, trip, tomasz, at(6)), gas.NoGo, roster.NeedReading)
	read(trip, c.ID, 32.1, tomasz, at(10))
	is(t, "analysed again", line(t, trip, tomasz, at(11)), gas.NoGo, roster.NeedWitness)
	if p, in := trip.InPlace("c4"); p.ID != tomasz || in.ID != c.ID || c.At() != "c4" {
		t.Errorf("in place: %s, at %s", in.ID, c.At())
	}
	if trip.Swap(c.ID, "", ines, "", at(12)) == nil {
		t.Error("a leader could not change it")
	}
	is(t, "changed by a leader", line(t, trip, tomasz, at(13)), gas.NotCleared, roster.NeedReading)
}

func TestALeaderWitnessesNothingOfTheirOwn(t *testing.T) {
	trip := charter()
	c := trip.AddCylinder(ines, 1, 32, "9", "", at(0))
	r := trip.Record(c.ID, roster.Reading{Percent: 36.2, At: at(1), Ref: "1", By: ines, Analyser: "A", AirPoint: 20.9},
		at(1))
	if r.Witness != "" || r.Entrant != gas.ByDiver {
		t.Fatalf("recorded as %+v", r)
	}
	trip.Correct(r.ID, 32.1, ines, at(2), at(2))
	is(t, "her own correction", line(t, trip, ines, at(3)), gas.NoGo, roster.NeedWitness)
	trip.Record(c.ID, roster.Reading{Percent: 32.1, At: at(9), Ref: "2", By: ines, Witness: tomasz, Analyser: "A",
		AirPoint: 20.9}, at(9))
	is(t, "named a witness", line(t, trip, ines, at(10)), gas.Go)
	if trip.SetLimit(ines, roster.Limit{By: ines}, at(11)); !trip.SetLimit(ines, roster.Limit{Depth: gas.M(20), By: ines},
		at(11)) ||
		trip.SetLimit(ines, roster.Limit{Depth: gas.M(25), By: ines}, at(12)) {
		t.Error("a leader sets themself a tighter limit and no looser one")
	}
	if trip.SetOutside(ines, 0, ines, "rebreather", at(12)) || trip.SetCard(ines, gas.CardSeen, ines, "", at(12)) ||
		trip.Replan(c.ID, ines, at(12)) {
		t.Error("a leader's act improved their own clearance")
	}
	if !trip.SetCard(ines, gas.CardUnseen, ines, tomasz, at(12)) {
		t.Error("a sole leader's card is seen by a named witness")
	}
}

func TestAnOldReadingAtALateSignOff(t *testing.T) {
	trip := ready()
	aboard(trip, 1, at(60))
	for _, now := range []time.Time{at(0).Add(4*time.Hour + 4*time.Minute), at(27 * 60)} {
		if _, ok := trip.SignOff(1, ines, now); ok {
			t.Errorf("signed at %v", now)
		}
	}
}

func TestABoatCheckThatWasNotOpenedIsNotSigned(t *testing.T) {
	for _, policy := range []gas.BoatCheck{gas.BoatCheckAll, gas.BoatCheckUnattended} {
		trip := ready()
		trip.EditPlan().Policy.BoatCheck = policy
		refused, ok := trip.SignOff(1, ines, at(40))
		if ok || len(refused) != 1 || refused[0].Why != roster.WhyBoatCheck {
			t.Errorf("%s: got %v, %+v", policy, ok, refused)
		}
	}
}

func TestACylinderUsedOnTwoDives(t *testing.T) {
	trip := charter()
	trip.SetLabel("c4", "17", tomasz, at(0))
	trip.SetLabel("c5", "17", tomasz, at(0))
	trip.SetAsked("c5", 32, tomasz, at(0))
	read(trip, "c4", 32.1, tomasz, at(1))
	is(t, "one reading for both dives", clearance(t, trip, tomasz, 2, at(2)), gas.Go)
	trip.SetDived(1, roster.Dived{By: ines}, at(130))
	is(t, "breathed on dive 1", clearance(t, trip, tomasz, 2, at(131)), gas.NotCleared, roster.NeedReading)
	read(trip, "c5", 36.1, tomasz, at(140))
	if c := clearance(t, trip, tomasz, 2, at(141)); c.Status == gas.Go {
		t.Error("refilled and not reported: 36.1 after 32.1 is a go")
	}
	trip.Fill("c5", time.Time{}, "", at(142))
	read(trip, "c5", 36.1, tomasz, at(145))
	if c := clearance(t, trip, tomasz, 2, at(146)); !c.Goes() {
		t.Errorf("reported by the shop: %v %+v", c.Status, c.Verdict.Reasons())
	}
}

func TestANoGoOfTheDockIsRememberedAboard(t *testing.T) {
	trip := charter()
	read(trip, "c4", 36.2, tomasz, at(0))
	trip.OpenBoat(1, ines, at(60))
	is(t, "the check is open", line(t, trip, tomasz, at(61)), gas.NoGo, roster.NeedBoatAnswer)
	read(trip, "c4", 32.1, tomasz, at(62))
	is(t, "read again", line(t, trip, tomasz, at(63)), gas.NoGo, roster.NeedWitness)
	trip.Attend("c4", roster.OutOfSight, tomasz, at(64))
	is(t, "changed", line(t, trip, tomasz, at(65)), gas.NoGo, roster.NeedReading, roster.NeedWitness)
}

func TestToppedUpByTheDiverAfterANoGo(t *testing.T) {
	trip := charter()
	read(trip, "c4", 36.2, tomasz, at(0))
	trip.Fill("c4", time.Time{}, tomasz, at(5))
	read(trip, "c4", 32.1, tomasz, at(10))
	is(t, "only the diver's word", line(t, trip, tomasz, at(11)), gas.NoGo, roster.NeedWitness)
	watched(trip, "c4", 32.1, at(15))
	is(t, "watched", line(t, trip, tomasz, at(16)), gas.Go)
}

func TestTheGroupIsTheTightest(t *testing.T) {
	trip := ready()
	trip.EditDive(1).Bottomless, trip.EditDive(1).Bottom = true, gas.Depth{}
	trip.SetDepthLimit(marit, gas.M(30), ines, "", at(10))
	b := board(t, trip, 1, at(11))
	if b.Group.MaxDepth != gas.M(30) || b.Group.DepthBy != marit || b.Of(tomasz).Max != gas.M(33) ||
		b.Of(marit).Max != gas.M(30) {
		t.Errorf("group %+v, Tomasz %v, Marit %v", b.Group, b.Of(tomasz).Max, b.Of(marit).Max)
	}
	for _, f := range b.Of(marit).Verdict.Findings {
		if f.MaxDepth.Known() && f.MaxDepth.DeeperThan(gas.M(30)) {
			t.Errorf("qualified to 30 m and named %v: %+v", f.MaxDepth, f)
		}
	}
}

func TestTheTimesOfTheGroup(t *testing.T) {
	trip := ready()
	if b := board(t, trip, 1, at(10)); b.Group.MaxMinutes != 24 || b.Group.TimeBy != tomasz {
		t.Errorf("32.1 and 31.9 %% at 30 m: got %+v", b.Group) // 24 min for 32 %, see testdata/gas/SOURCES.md
	}
	trip.EditDive(1).Minutes = 16
	if b := board(t, trip, 1, at(10)); b.Group.MaxMinutes != 0 {
		t.Errorf("one and a half times the planned minutes: got %+v", b.Group)
	}
}

func TestTheRecordOfADiveIsItsOwn(t *testing.T) {
	trip := ready()
	signOff(t, trip, 1, at(40))
	for _, c := range trip.SignOffs[0].Board.People {
		if len(c.Verdict.Numbers) != 1 || c.Verdict.Numbers[0].Dive != 1 {
			t.Errorf("%s: %+v", c.Person, c.Verdict.Numbers)
		}
	}
}
