package roster_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/roster"
)

// Snapshots are the people as they are, whatever field has changed and whoever
// asked before, and stay as they were.
func TestSnapshotsAreThePeople(t *testing.T) {
	for name, trip := range map[string]*roster.Trip{"at the dock": ready(), "between dives": eventful(t)} {
		was := trip.Snapshots()
		text := peopleText(t, was)
		for _, l := range roster.Leaves(t, trip) {
			l.Change()
			if diff := cmp.Diff(peopleText(t, trip.People), peopleText(t, trip.Snapshots())); diff != "" {
				t.Errorf("%s, another %s (-people +snapshots):\n%s", name, l.Path, diff)
			}
			l.Back()
			trip.Board(at(135))
		}
		if now := peopleText(t, was); now != text {
			t.Errorf("%s: earlier snapshots have changed: %s", name, cmp.Diff(text, now))
		}
	}
}

// On any day whoever is as before is the same snapshot, all others are another,
// and what was handed out stays as it is.
func TestSnapshotsOnAnyDay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		var all [][]*roster.Person
		var were []string
		for range rapid.IntRange(2, 15).Draw(rt, "steps") {
			before := m.trip.Snapshots()
			what := m.step(rt)
			if rapid.Bool().Draw(rt, "board") {
				m.trip.Board(m.now)
			}
			now := m.trip.Snapshots()
			if diff := cmp.Diff(peopleText(t, m.trip.People), peopleText(t, now)); diff != "" {
				rt.Fatalf("after %q (-people +snapshots):\n%s", what, diff)
			}
			for i := range min(len(before), len(now)) {
				if same := peopleText(t, before[i:i+1]) == peopleText(t, now[i:i+1]); same != (before[i] == now[i]) {
					rt.Fatalf("after %q: person %d is as before: %v; the same snapshot: %v", what, i, same, before[i] == now[i])
				}
			}
			all, were = append(all, slices.Clone(now)), append(were, peopleText(t, now))
			for i := range all {
				if text := peopleText(t, all[i]); text != were[i] {
					rt.Fatalf("after %q earlier snapshots have changed: %s", what, cmp.Diff(were[i], text))
				}
			}
		}
	})
}

// Of people who come, go and change places there is one snapshot each, and a
// list that was handed out is not written to.
func TestSnapshotsFollowTheList(t *testing.T) {
	trip := ready()
	was := trip.Snapshots()
	kept := slices.Clone(was)
	for name, change := range map[string]func(){
		"nobody left":   func() { trip.People = nil },
		"one left":      func() { trip.People = trip.People[:1] },
		"turned around": func() { trip.People = []*roster.Person{trip.People[2], trip.People[1], trip.People[0]} },
		"the first out": func() { trip.People = trip.People[1:] },
	} {
		people := slices.Clone(trip.People)
		change()
		if diff := cmp.Diff(peopleText(t, trip.People), peopleText(t, trip.Snapshots())); diff != "" && len(trip.People) > 0 {
			t.Errorf("%s (-people +snapshots):\n%s", name, diff)
		}
		if n := len(trip.Snapshots()); n != len(trip.People) {
			t.Errorf("%s: %d snapshots of %d people", name, n, len(trip.People))
		}
		trip.People = people
		if !slices.Equal(was, kept) {
			t.Fatalf("%s: an earlier list has changed", name)
		}
		trip.Snapshots()
	}
}

// What nothing has happened to is not copied again.
func TestUnchangedPeopleAreNotCopied(t *testing.T) {
	trip := ready()
	trip.Board(at(60))
	if n := testing.AllocsPerRun(10, func() { trip.Snapshots() }); n > 0 {
		t.Errorf("snapshots of an unchanged trip allocate %v times", n)
	}
}

func peopleText(t testing.TB, people []*roster.Person) string {
	t.Helper()
	b, err := json.Marshal(people)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
