package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// eventful is a trip on which everything has happened that leaves a trace.
func eventful(t *testing.T) *roster.Trip {
	trip := ready()
	trip.SetAir(gas.Weather{Celsius: 24, Humidity: 70, Known: true}, ines, at(5))
	trip.SetAirPoint("B", 20.9, marit, at(5))
	trip.SetCO("c4", 2, tomasz, at(6))
	trip.Fill("c6", at(6), "", at(6))
	read(trip, "c6", 31.8, marit, at(8))
	trip.Correct(trip.ReadingsOf(marit, at(8).String())[0].ID, 31.9, marit, at(9), at(9))
	trip.SetDepth(marit, gas.M(29), ines, "ears", at(9))
	trip.SetDepthLimit(tomasz, gas.M(40), "", at(9))
	trip.SetDivedBefore(tomasz, "no", at(9))
	trip.Person(tomasz).Team, trip.Person(marit).Team = "1", "1"
	kenji := &roster.Person{Name: "Kenji", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{
		{Dive: 1, Asked: 32, Label: "17"}, {Dive: 2, Asked: 36, Label: "22"}}}
	trip.AddPerson(kenji, "", at(9))
	trip.SitOut(kenji.ID, ines, "cold", at(9))
	trip.OpenBoat(ines, at(60))
	for _, c := range []roster.CylinderID{"c4", "c6"} {
		trip.Attend(c, roster.Kept, ines, at(61))
	}
	if refused, ok := trip.SignOff(ines, at(70)); !ok {
		t.Fatalf("not signed: %+v", refused)
	}
	trip.SetDived(1, roster.Dived{Person: tomasz, Depth: gas.M(28), Minutes: 21}, at(120))
	trip.SetDived(1, roster.Dived{Depth: gas.M(29), Minutes: 22}, at(120))
	trip.OpenBoat(ines, at(130))
	trip.Attend("c5", roster.Kept, tomasz, at(131))
	return trip
}

// Whatever field of a trip changes, and by whose hand, no board from memory is
// out of date: see plain_test.go, which looks at each.
func TestAnyFieldMayChangeUnderABoard(t *testing.T) {
	empty := charter()
	empty.People = nil
	for name, trip := range map[string]*roster.Trip{"nobody yet": empty, "at the dock": ready(), "between dives": eventful(t)} {
		now := at(135)
		trip.Board(now)
		leaves := roster.Leaves(t, trip)
		if len(leaves) < 200 && name != "nobody yet" {
			t.Fatalf("%s: only %d fields", name, len(leaves))
		}
		for _, l := range leaves {
			l.Change()
			trip.Board(now)
			l.Back()
			trip.Board(now.Add(time.Second))
		}
	}
}

// A board from memory is the same board without the work: a check of one
// diver costs more than this comparison of a whole trip.
func TestABoardFromMemoryIsNotComputed(t *testing.T) {
	trip := ready()
	trip.Board(at(60))
	if n := testing.AllocsPerRun(10, func() { roster.Unchecked(trip, at(61)) }); n > 0 {
		t.Errorf("asking again for the board of an unchanged trip allocates %v times", n)
	}
}

// A copy of a trip has a memory of its own.
func TestACopyOfATripRemembersForItself(t *testing.T) {
	trip := ready()
	before := trip.Board(at(60))
	what := *trip
	what.Dives = []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(40)}, trip.Dives[1]}
	if got := what.Board(at(60)); got.Status != gas.NoGo {
		t.Errorf("of the copy: %v, want no-go", got.Status)
	}
	if got := trip.Board(at(60)); got.Status != before.Status {
		t.Errorf("of the trip itself: %v, want %v", got.Status, before.Status)
	}
}
