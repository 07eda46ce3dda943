package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Two divers say 11; who puts it right analyses again, the other one goes.
func TestWhoPutsAClaimedLabelRightAnalysesAgain(t *testing.T) {
	trip := ready()
	trip.SetLabel("c4", "11", tomasz, at(10))
	trip.SetLabel("c6", "11", marit, at(11))
	is(t, "claimed twice", line(t, trip, tomasz, at(12)), gas.NotCleared, roster.NeedCylinder)
	trip.SetLabel("c6", "15", marit, at(13))
	is(t, "the other one", line(t, trip, tomasz, at(14)), gas.Go)
	is(t, "who changed it", line(t, trip, marit, at(14)), gas.NotCleared, roster.NeedReading)
	read(trip, "c6", 31.8, marit, at(20))
	is(t, "and analysed again", line(t, trip, marit, at(21)), gas.Go)
}

// A cylinder that its diver or the shop takes out of use still claims its label.
func TestACylinderLeftBehindStillClaims(t *testing.T) {
	for _, by := range []roster.PersonID{"", tomasz} {
		trip := ready()
		trip.SetLabel("c4", "11", tomasz, at(10))
		trip.SetLabel("c6", "11", marit, at(11))
		trip.Retire("c4", by, "", at(12))
		is(t, "the other claimant", line(t, trip, marit, at(13)), gas.NotCleared, roster.NeedCylinder)
		trip.ConfirmMoved("c4", 1, ines, at(14))
		is(t, "a leader confirmed it", line(t, trip, marit, at(15)), gas.Go)
	}
}

// Of a cylinder that its diver gave back nothing can be analysed: that takes a word with the leader.
func TestACylinderThatIsGoneNeedsTheLeader(t *testing.T) {
	for _, by := range []roster.PersonID{"", tomasz} {
		trip := charter()
		is(t, "not analysed", line(t, trip, tomasz, at(0)), gas.NotCleared, roster.NeedReading)
		trip.Retire("c4", by, "", at(1))
		is(t, "given back", line(t, trip, tomasz, at(2)), gas.NotCleared, roster.NeedCylinder, roster.NeedSpeak)
		trip.ConfirmMoved("c4", 1, ines, at(3))
		is(t, "a leader confirmed it", line(t, trip, tomasz, at(4)), gas.NotCleared, roster.NeedCylinder)
	}
}

// One cylinder for both dives: what was read before dive 1 does not count for dive 2
// once dive 1 was dived, whoever sat it out.
func TestADivedCylinderIsReadAgain(t *testing.T) {
	for _, out := range []bool{false, true} {
		trip := charter()
		trip.SetLabel("c4", "11", tomasz, at(0))
		trip.SetLabel("c5", "11", tomasz, at(0))
		trip.SetAsked("c5", 32, tomasz, at(0))
		read(trip, "c4", 32.1, tomasz, at(10))
		is(t, "before dive 1", clearance(t, trip, tomasz, 2, at(20)), gas.Go)
		if out {
			trip.SitOut(tomasz, 1, ines, "gear", at(80))
		}
		trip.SetDived(1, roster.Dived{By: ines}, at(130))
		is(t, "after dive 1", clearance(t, trip, tomasz, 2, at(131)), gas.NotCleared, roster.NeedReading)
		read(trip, "c5", 32.1, tomasz, at(140))
		is(t, "read again", clearance(t, trip, tomasz, 2, at(141)), gas.Go)
	}
}

// A number from paper that was taken before another cylinder came is none of it.
func TestANumberOfBeforeTheSwap(t *testing.T) {
	for _, c := range []struct {
		name  string
		taken int
		want  gas.Status
		needs []roster.Need
	}{
		{"taken before", 16, gas.NotCleared, []roster.Need{roster.NeedReading}},
		{"taken after", 20, gas.Go, nil},
	} {
		trip := charter()
		swapped := trip.Swap("c4", "27", ines, "", at(19))
		trip.Record(swapped.ID, roster.Reading{Percent: 32.1, At: at(60), Ref: "p", By: ines, Taken: at(c.taken)}, at(60))
		is(t, c.name, line(t, trip, tomasz, at(61)), c.want, c.needs...)
	}
}

// A cylinder that was added after it was read, and one that came back to its dive.
func TestACylinderThatComesLater(t *testing.T) {
	trip := ready()
	trip.AddPerson(&roster.Person{ID: yusuf, Name: "Yusuf", Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{ID: "c9", Label: "19", Asked: 32, Dive: 1}}}, ines, at(30))
	trip.Record("c9", roster.Reading{Percent: 32.1, At: at(31), Ref: "p", By: ines, Taken: at(25)}, at(31))
	is(t, "read before it was added", line(t, trip, yusuf, at(32)), gas.NotCleared, roster.NeedReading)
	trip = charter()
	read(trip, "c4", 36.2, tomasz, at(0))
	trip.MoveCylinder("c4", 2, tomasz, at(1))
	trip.MoveCylinder("c4", 1, ines, at(2))
	trip.Swap("c4", "27", ines, "", at(3))
	is(t, "back and changed for another by a leader", line(t, trip, tomasz, at(4)), gas.NotCleared, roster.NeedReading)
}

// A leader who watched Marit's cylinder, which carries the label of his own, has
// analysed nothing of his own.
func TestAWatchedNumberIsTheDiversItWasSaidOf(t *testing.T) {
	trip := charter()
	own := trip.AddCylinder(ines, 1, 32, "11", "", at(0))
	trip.SetLabel("c6", "11", marit, at(1))
	read(trip, "c6", 31.9, ines, at(10))
	if e := trip.Evidence(own.ID, at(11)); e.Counts() {
		t.Errorf("counts for the leader: %+v", e.Counting)
	}
	if e := trip.Evidence("c6", at(11)); !e.Counts() {
		t.Error("counts for whom it was said of")
	}
}

// The shop's analyses of three cylinders that are off: one cylinder in two places is
// one, and what was taken back is none.
func TestASeriesIsOfThreeCylinders(t *testing.T) {
	off := func(share, undo bool) int {
		trip := charter()
		if share {
			trip.SetLabel("c4", "11", tomasz, at(0))
			trip.SetLabel("c5", "11", tomasz, at(0))
		}
		for i, c := range []roster.CylinderID{"c4", "c5", "c6"} {
			r := trip.Record(c, roster.Reading{Percent: 33.5, At: at(i), Ref: string(c)}, at(i))
			read(trip, c, 32.1, trip.People[1+i/2].ID, at(10+i))
			if undo && c == "c6" {
				trip.Undo(r.ID, "", at(30))
			}
		}
		return len(trip.SeriesOff(at(40)))
	}
	if plain, shared, undone := off(false, false), off(true, false), off(false, true); plain != 3 || shared != 0 ||
		undone != 0 {
		t.Errorf("got %d, %d in two places, %d with one taken back; want 3, 0, 0", plain, shared, undone)
	}
}

// Behind "sits out" the rules go on: after a no-go its diver needs another label.
func TestASwapWhileSittingOut(t *testing.T) {
	trip := ready()
	trip.SetDepthLimit(tomasz, gas.M(18), ines, "", at(10))
	trip.SitOut(tomasz, 1, ines, "gear", at(11))
	if trip.Swap("c4", "", tomasz, "", at(12)) != nil {
		t.Error("without a label, after a no-go")
	}
	if trip.Swap("c4", "27", tomasz, "", at(13)) == nil {
		t.Error("with another label")
	}
}

// A reading and one of another cylinder within 15 s on one analyser, by when they
// were taken (common practice, no source): the one said later is asked.
func TestHurriedByWhenTheyWereTaken(t *testing.T) {
	taken := func(paper time.Duration) bool {
		trip := charter()
		trip.Record("c6", roster.Reading{Percent: 31.9, At: at(10), Ref: "a", By: marit, Analyser: "A"}, at(10))
		trip.AddPerson(&roster.Person{ID: kofi, Name: "Kofi", Crew: true,
			Cylinders: []*roster.Cylinder{{ID: "c20", Asked: 32, Dive: 1}}}, "", at(11))
		r := trip.Record("c20", roster.Reading{Percent: 32.1, At: at(30), Ref: "b", By: kofi, Analyser: "A",
			Taken: at(10).Add(paper)}, at(30))
		return r.Hurried
	}
	if !taken(14*time.Second) || !taken(-14*time.Second) || taken(15*time.Second) {
		t.Error("by the time from paper")
	}
}
