package roster_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

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

// A board that was handed out stays as it is, whatever happens to the trip.
func TestABoardHandedOutStaysAsItIs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		var boards []roster.Board
		var were []string
		for range rapid.IntRange(2, 20).Draw(rt, "steps") {
			what := m.step(rt)
			for i, b := range boards {
				if now := boardText(t, b); now != were[i] {
					rt.Fatalf("after %q an earlier board has changed: %s", what, cmp.Diff(were[i], now))
				}
			}
			b := m.trip.Board(m.now)
			boards, were = append(boards, b), append(were, boardText(t, b))
		}
	})

	// Both carry one limit, which the board says once. Then Marit's gas is leaner:
	// Tomasz's own verdict is the same, and his limit is no longer the group's.
	trip := ready()
	trip.Dives[0].Bottomless = true
	before := trip.Board(at(20))
	was := boardText(t, before)
	_, c := trip.Cylinder("c6")
	c.Current().Percent = 30
	if now := trip.Board(at(20)); now.Of(tomasz).Status == before.Of(tomasz).Status {
		t.Fatalf("Tomasz is %v before and after: this tests nothing", now.Of(tomasz).Status)
	}
	if now := boardText(t, before); now != was {
		t.Errorf("an earlier board has changed: %s", cmp.Diff(was, now))
	}
}

func boardText(t testing.TB, b roster.Board) string {
	t.Helper()
	text, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
