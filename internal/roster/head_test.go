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

// plainHead are a trip's fields the plain way: all of them but the version, and
// who is on the trip in the place of the people.
func plainHead(t testing.TB, trip *roster.Trip, schema int) map[string]string {
	t.Helper()
	head := struct {
		roster.Trip
		People  []*roster.Person  `json:"people,omitempty"`
		Order   []roster.PersonID `json:"order,omitempty"`
		Version int64             `json:"version,omitempty"`
	}{Trip: *trip}
	head.Schema = schema
	for _, p := range trip.People {
		head.Order = append(head.Order, p.ID)
	}
	b, err := json.Marshal(head)
	if err != nil {
		t.Fatal(err)
	}
	fields := map[string]string{}
	addFields(t, fields, b)
	return fields
}

// addFields adds the fields of a document, each of which must be new.
func addFields(t testing.TB, to map[string]string, document []byte) {
	t.Helper()
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(document, &fields); err != nil {
		t.Fatal(err)
	}
	for name, v := range fields {
		if was, twice := to[name]; twice {
			t.Fatalf("%s is stored twice: %s and %s", name, was, v)
		}
		to[name] = string(v)
	}
}

func sameHead(t testing.TB, trip *roster.Trip) error {
	t.Helper()
	parts, err := trip.Head(7)
	if err != nil {
		return err
	}
	got := map[string]string{}
	for _, stored := range parts {
		document, err := roster.Unpack(stored)
		if err != nil {
			return err
		}
		addFields(t, got, document)
	}
	if d := cmp.Diff(plainHead(t, trip, 7), got); d != "" {
		return fmt.Errorf("(-encoding/json +head):\n%s", d)
	}
	return nil
}

// The parts of the head are together what encoding/json makes of the trip, field
// by field and byte for byte, whichever field has changed since they were last
// written.
func TestHeadIsTheTripAsJSON(t *testing.T) {
	var full roster.Trip
	roster.Full(t, &full)
	late := ready() // so much was reminded that it is packed
	late.Reminded = map[string]time.Time{}
	for i := range 100 {
		late.Reminded[fmt.Sprintf("nudge:p%d:2027-05-15T08:30Z:1", i)] = dawn
	}
	for name, trip := range map[string]*roster.Trip{"every field": &full, "no field": {}, "at the dock": ready(), "between dives": eventful(t), "late": late} {
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
	if b, err := trip.Head(1); err == nil {
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
			if _, err := trip.Head(2); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("encoding json", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			plainHead(b, trip, 2)
		}
	})
}
