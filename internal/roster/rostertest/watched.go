// Package rostertest holds the trips that a store gives out against being written
// to: what is published stays as it is, since others share it.
package rostertest

import (
	"context"
	"encoding/json"
	"slices"
	"sync"
	"testing"

	"gasmuster/internal/roster"
)

// Watched is a store that remembers the trips it gave out, as they were.
type Watched struct {
	roster.Store
	mu     sync.Mutex
	given  []given // the last few hundred
	broken []given
}

type given struct {
	trip *roster.Trip
	was  []byte
}

// mostGiven bounds what is remembered of a long test.
const mostGiven = 300

// Watch watches a store to the end of the test, which fails when a trip was
// written to.
func Watch(t testing.TB, s roster.Store) *Watched {
	w := &Watched{Store: s}
	t.Cleanup(func() {
		for _, g := range w.Broken() {
			t.Errorf("version %d of trip %s was written to; it is now\n%s", g.Version, g.ID, asJSON(g))
		}
	})
	return w
}

// Load notes the trip that is given out.
func (w *Watched) Load(ctx context.Context, id roster.TripID, source string) (roster.Loaded, error) {
	l, err := w.Store.Load(ctx, id, source)
	if err == nil {
		w.note(l.Trip)
	}
	return l, err
}

// Commit notes the trip that is given out.
func (w *Watched) Commit(ctx context.Context, c roster.Commit) (*roster.Trip, error) {
	t, err := w.Store.Commit(ctx, c)
	if err == nil {
		w.note(t)
	}
	return t, err
}

// Broken are the trips that were written to, as they are now.
func (w *Watched) Broken() []*roster.Trip {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.drop(len(w.given))
	var trips []*roster.Trip
	for _, g := range w.broken {
		trips = append(trips, g.trip)
	}
	return trips
}

func (w *Watched) note(t *roster.Trip) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.drop(len(w.given) + 1 - mostGiven)
	w.given = append(w.given, given{t, asJSON(t)})
}

// drop looks at the oldest n once more and forgets them.
func (w *Watched) drop(n int) {
	n = max(0, n)
	for _, g := range w.given[:n] {
		if string(asJSON(g.trip)) != string(g.was) {
			w.broken = append(w.broken, g)
		}
	}
	w.given = slices.Delete(w.given, 0, n)
}

func asJSON(t *roster.Trip) []byte {
	b, err := json.Marshal(t)
	if err != nil {
		panic(err) // our own types
	}
	return b
}
