package roster_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/roster"
)

// text is all that a part of a trip holds, what was signed included.
func text(t failer, part any) string {
	t.Helper()
	b, err := json.Marshal(part)
	if err != nil {
		t.Fatalf("%v", err)
	}
	if trip, ok := part.(*roster.Trip); ok {
		b = fmt.Append(b, text(t, trip.Course))
	}
	if course, ok := part.(*roster.Course); ok {
		for _, s := range course.SignOffs {
			b = fmt.Append(b, text(t, s.Board.Board)) // stored packed, and held as it is too
		}
		for _, k := range course.Kept {
			b = fmt.Append(b, text(t, k.Board.Board))
		}
	}
	return string(b)
}

// witness has looked at values that were handed out and sees when one changes.
type witness struct {
	values []any // pointers
	were   []string
}

func (w *witness) look(t failer, value any) {
	w.values, w.were = append(w.values, value), append(w.were, text(t, value))
}

func (w *witness) check(t failer, what string) {
	t.Helper()
	for i, v := range w.values {
		if is := text(t, v); is != w.were[i] {
			t.Fatalf("%s: a %T that was handed out %d ago has changed (-was +is):\n%s", what, v, len(w.values)-i,
				cmp.Diff(w.were[i], is))
		}
	}
}

// parts are what two trips may share, by name: people by their number.
func parts(t *roster.Trip) map[string]any {
	all := map[string]any{"plan": t.Plan, "course": t.Course, "rounds": t.Rounds, "queue": t.Queue, "gate": t.Gate}
	for _, p := range t.People {
		all[string(p.ID)] = p
	}
	return all
}

// touched are the parts that are not the same pointer in both, in order.
func touched(base, next *roster.Trip) []string {
	var names []string
	was := parts(base)
	for name, part := range parts(next) {
		if part != was[name] {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// On any day, with one act an event or several: what was published is never
// written again, nor is a board that was handed out; what has not changed is
// the same pointer; and no board remembers anything wrong, not that of the
// draft, not that of the value that came of it.
func TestPublishedValuesStayAsTheyAre(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m, seen := newMachine(), new(witness)
		base := m.publish()
		for range rapid.IntRange(1, 12).Draw(rt, "events") {
			seen.look(rt, base)
			acts := rapid.IntRange(1, 3).Draw(rt, "acts")
			what := ""
			for range acts {
				what += m.step(rt) + ", "
				if rapid.Bool().Draw(rt, "board") {
					b := board(rt, m.trip, 1+m.trip.Next%2, m.now)
					seen.look(rt, &b)
				}
				seen.check(rt, what)
			}
			next := m.publish()
			checkParts(rt, base, next, what, acts == 1)
			b := board(rt, m.trip, 1+m.trip.Next%2, m.now) // of the next draft, which has changed nothing
			seen.look(rt, &b)
			base = next
		}
	})
}

// checkParts holds the parts of a value against those of the one it came of. One
// act copies nothing that it leaves as it is; several may put something back.
func checkParts(t *rapid.T, base, next *roster.Trip, what string, one bool) {
	was := parts(base)
	for name, part := range parts(next) {
		before, ok := was[name]
		if same := ok && text(t, before) == text(t, part); one && same && part != before {
			t.Fatalf("%s: %s is copied and equals what it was", what, name)
		}
	}
}
