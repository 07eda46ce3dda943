package roster_test

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

const kofi roster.PersonID = "p9" // crew

// withCrew is the ready trip with somebody on deck who does not dive.
func withCrew() *roster.Draft {
	trip := ready()
	trip.AddPerson(&roster.Person{ID: kofi, Name: "Kofi", Crew: true}, "", at(8))
	return trip
}

// Who may say what of Tomasz and of his cylinder c4 (product rules): another diver
// never; leader and crew for somebody else.
func TestWhoMay(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*roster.Draft, roster.PersonID) bool
		may  []roster.PersonID
		not  []roster.PersonID
	}{
		{"say that the analyser showed it", func(d *roster.Draft, by roster.PersonID) bool {
			return d.Confirm(firstOf(d, "c4"), gas.ShownDecimals, by, at(20))
		}, []roster.PersonID{tomasz, ines, kofi}, []roster.PersonID{marit, ""}},
		{"take it out of use", func(d *roster.Draft, by roster.PersonID) bool { return d.Retire("c4", by, "valve", at(20)) },
			[]roster.PersonID{tomasz, ines, kofi, ""}, []roster.PersonID{marit}},
		{"label it", func(d *roster.Draft, by roster.PersonID) bool { return d.SetLabel("c4", "17", by, at(20)) },
			[]roster.PersonID{tomasz, ines, kofi, ""}, []roster.PersonID{marit}},
		{"move it to another dive", func(d *roster.Draft, by roster.PersonID) bool {
			return d.MoveCylinder("c4", 2, by,
				at(20))
		},
			[]roster.PersonID{tomasz, ines, kofi, ""}, []roster.PersonID{marit}},
		{"put him into another team", func(d *roster.Draft, by roster.PersonID) bool {
			return d.SetTeam(tomasz, "red", by,
				at(20))
		},
			[]roster.PersonID{ines, ""}, []roster.PersonID{tomasz, marit, kofi}},
		{"say that he left", func(d *roster.Draft, by roster.PersonID) bool { return d.Leave(tomasz, by, "", at(20)) },
			[]roster.PersonID{tomasz, ines, kofi, ""}, []roster.PersonID{marit}},
		{"take his number back", func(d *roster.Draft, by roster.PersonID) bool {
			return d.Undo(firstOf(d, "c4"), by,
				at(20))
		},
			[]roster.PersonID{tomasz, ines, kofi}, []roster.PersonID{marit}},
		{"close a question that he asked", func(d *roster.Draft, by roster.PersonID) bool {
			id := d.Ask([]roster.CylinderID{"c4"}, roster.QuestionRange, 51, tomasz, at(19))
			return d.CloseQuestion(id, true, by, at(20))
		}, []roster.PersonID{tomasz, ines, kofi}, []roster.PersonID{marit, ""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, by := range c.may {
				if !c.do(withCrew(), by) {
					t.Errorf("%q may", by)
				}
			}
			for _, by := range c.not {
				if c.do(withCrew(), by) {
					t.Errorf("%q may not", by)
				}
			}
		})
	}
}

func firstOf(d *roster.Draft, c roster.CylinderID) roster.ReadingID {
	_, cyl := d.Cylinder(c)
	return cyl.Readings[0].ID
}

// A leader who left is no leader, and somebody who left no witness.
func TestWhoLeftMayNothing(t *testing.T) {
	trip := ready()
	trip.HandOver(tomasz, ines, at(5))
	trip.Leave(tomasz, "", "", at(6))
	if trip.OpenBoat(1, tomasz, at(7)) || trip.SetLimit(marit, roster.Limit{Depth: gas.M(20), By: tomasz}, at(7)) {
		t.Error("a leader who left still leads")
	}
	if trip.TakeOver(marit, tomasz, at(8)) || !trip.TakeOver(marit, ines, at(8)) {
		t.Error("confirmed by somebody who is there")
	}
	if trip.HandOver(tomasz, marit, at(9)) {
		t.Error("handed over to somebody who left")
	}
}

// Who dives is told by how they were booked: a leader without a cylinder who hands
// over is on no board.
func TestWhoDivesIsBooked(t *testing.T) {
	trip := ready()
	trip.HandOver(tomasz, ines, at(5))
	if b := board(t, trip, 1, at(6)); b.Of(ines) != nil || b.Of(tomasz) == nil || len(b.People) != 2 {
		t.Errorf("on the board: %d people", len(b.People))
	}
}

// A witness is named with a leader's own reading, or before for that person's next
// number; a diver's own number is the diver's.
func TestNamedWitnesses(t *testing.T) {
	by := func(c roster.CylinderID, by, witness roster.PersonID) roster.Reading {
		trip := withCrew()
		trip.NameWitness("c4", marit, ines, at(10))
		trip.AddCylinder(ines, 1, 32, "", "", at(10))
		if c == "" {
			c = trip.Person(ines).Cylinders[0].ID
		}
		return *trip.Record(c, roster.Reading{Percent: 32.4, At: at(20), Ref: "n", By: by, Witness: witness}, at(20))
	}
	for _, c := range []struct {
		name    string
		got     roster.Reading
		witness roster.PersonID
		entrant gas.Entrant
	}{
		{"the named one records", by("c4", marit, ""), marit, gas.Witnessed},
		{"its diver records", by("c4", tomasz, ""), "", gas.ByDiver},
		{"its diver names somebody", by("c4", tomasz, marit), "", gas.ByDiver},
		{"somebody who was not named", by("c6", tomasz, ""), "", gas.ByOther},
		{"crew", by("c4", kofi, ""), kofi, gas.Witnessed},
		{"a leader's own, with a witness", by("", ines, tomasz), tomasz, gas.Witnessed},
		{"a leader's own, alone", by("", ines, ""), "", gas.ByDiver},
	} {
		if c.got.Witness != c.witness || c.got.Entrant != c.entrant {
			t.Errorf("%s: got %q, %q, want %q, %q", c.name, c.got.Witness, c.got.Entrant, c.witness, c.entrant)
		}
	}
}
