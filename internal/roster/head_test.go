package roster_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/roster"
)

// plainHead is a trip's head the plain way: all of it, but who is on the trip
// in the place of the people.
func plainHead(t testing.TB, trip *roster.Trip, schema int, version int64) string {
	t.Helper()
	head := struct {
		roster.Trip
		People []*roster.Person  `json:"people,omitempty"`
		Order  []roster.PersonID `json:"order,omitempty"`
	}{Trip: *trip}
	head.Schema, head.Version = schema, version
	for _, p := range trip.People {
		head.Order = append(head.Order, p.ID)
	}
	b, err := json.Marshal(head)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func sameHead(t testing.TB, trip *roster.Trip) error {
	t.Helper()
	got, err := trip.Head(7, 9)
	if err != nil {
		return err
	}
	if want := plainHead(t, trip, 7, 9); want != string(got) {
		return fmt.Errorf("(-encoding/json +head):\n%s", cmp.Diff(want, string(got)))
	}
	return nil
}

// The head is byte for byte what encoding/json makes of the trip, whichever
// field has changed since it was last written.
func TestHeadIsTheTripAsJSON(t *testing.T) {
	var full roster.Trip
	roster.Full(t, &full)
	for name, trip := range map[string]*roster.Trip{"every field": &full, "no field": {}, "at the dock": ready(), "between dives": eventful(t)} {
		if err := sameHead(t, trip); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, l := range roster.Leaves(t, trip) {
			l.Change()
			if err := sameHead(t, trip); err != nil {
				t.Errorf("%s, another %s: %v", name, l.Path, err)
			}
			l.Back()
		}
	}
}

// Whatever is done to a trip, in whatever order, its head follows.
func TestHeadOnAnyDay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := newMachine()
		for range rapid.IntRange(1, 15).Draw(rt, "steps") {
			what := m.step(rt)
			m.trip.Reminded = map[string]time.Time{what: m.now}
			if err := sameHead(t, m.trip); err != nil {
				rt.Fatalf("after %q: %v", what, err)
			}
		}
	})
}

// A head that can't be written is an error and not half a trip.
func TestHeadThatCannotBeWritten(t *testing.T) {
	trip := ready()
	trip.Departs = time.Date(12027, 5, 15, 8, 30, 0, 0, time.UTC) // no RFC 3339
	if b, err := trip.Head(1, 1); err == nil {
		t.Errorf("got %s", b)
	}
}

func BenchmarkHead(b *testing.B) {
	trip := ready()
	trip.Reminded = map[string]time.Time{}
	for i := range 60 {
		trip.Reminded[fmt.Sprintf("nudge:p%d:2027-05-15T08:30Z:1", i)] = dawn
	}
	b.Run("part by part", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := trip.Head(2, 9); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("encoding json", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			plainHead(b, trip, 2, 9)
		}
	})
}
