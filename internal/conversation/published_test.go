package conversation

import (
	"encoding/json"
	"reflect"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// tb is what the checks need of a test, a property test's included.
type tb interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
}

// stepped is Step in the tests of this package (transcripts, the matrix, fuzz and
// property tests). It holds what an event must leave as it is: the trip that it
// began with is not written to, what is the same is the same pointer, and the
// board that the trip remembers parts of is that of a trip that remembers nothing.
func stepped(t tb, in Input) Result {
	t.Helper()
	before := written(t, in.Trip)
	r := Step(in)
	if after := written(t, in.Trip); after != before {
		t.Errorf("%s %q%q wrote to a published trip:\n%s", in.Event.Kind, in.Event.Text, in.Event.Do, cmp.Diff(before, after))
	}
	for _, part := range copiedInVain(in.Trip, r.Trip) {
		t.Errorf("%s %q%q copied %s and changed nothing of it", in.Event.Kind, in.Event.Text, in.Event.Do, part)
	}
	back := stored(t, r.Trip)
	for n := 1; n <= len(r.Trip.Dives); n++ {
		want, got := back.Board(n, in.Now), r.Trip.Board(n, in.Now)
		if !reflect.DeepEqual(want, got) && cmp.Diff(want, got) != "" {
			t.Errorf("the board of a trip that remembers is not the board (-want +got):\n%s", cmp.Diff(want, got))
		}
	}
	holdsAlways(t, in, r)
	return r
}

func written(t tb, trip *roster.Trip) string {
	t.Helper()
	b, err := json.Marshal(trip)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// copiedInVain names the parts of a trip that are copies and equal what they
// were copied from.
func copiedInVain(was, is *roster.Trip) (parts []string) {
	for _, p := range is.People {
		if q := was.Person(p.ID); q != nil && q != p && reflect.DeepEqual(q, p) {
			parts = append(parts, p.Name)
		}
	}
	for name, part := range map[string][2]any{"the plan": {was.Plan, is.Plan}, "the course": {was.Course, is.Course},
		"the queue": {was.Queue, is.Queue}, "the rounds": {was.Rounds, is.Rounds}} {
		if part[0] != part[1] && reflect.DeepEqual(part[0], part[1]) {
			parts = append(parts, name)
		}
	}
	return parts
}

// edited is a trip after a change.
func edited(trip *roster.Trip, change func(*roster.Draft)) *roster.Trip {
	d := roster.Change(trip)
	change(d)
	return d.Done()
}
