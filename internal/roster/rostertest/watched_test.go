package rostertest

import (
	"context"
	"fmt"
	"testing"

	"gasmuster/internal/roster"
)

// one is a store of one trip.
type one struct {
	roster.Store
	trip *roster.Trip
}

func (o one) Load(context.Context, roster.TripID, string) (roster.Loaded, error) {
	return roster.Loaded{Trip: o.trip}, nil
}

func (o one) Commit(_ context.Context, c roster.Commit) (*roster.Trip, error) { return c.Trip, nil }

func TestWatched(t *testing.T) {
	for _, later := range []int{0, 1, mostGiven + 1} { // trips given out in between
		t.Run(fmt.Sprint(later), func(t *testing.T) {
			w := &Watched{Store: one{trip: roster.NewTrip("abcdefghij", "keelhaven")}}
			l, _ := w.Load(t.Context(), "abcdefghij", "")
			committed, _ := w.Commit(t.Context(), roster.Commit{Trip: roster.NewTrip("bbcdefghij", "keelhaven")})
			d := roster.Change(l.Trip)
			d.EditPlan().Name = "Saturday two-tank" // of a copy
			if broken := w.Broken(); len(broken) != 0 {
				t.Fatalf("%d trips, want none: nothing was written to", len(broken))
			}
			l, _ = w.Load(t.Context(), "abcdefghij", "")
			committed, _ = w.Commit(t.Context(), roster.Commit{Trip: committed})
			l.Trip.Name, committed.Name = "Sunday drift", "Monday wreck"
			for range later {
				_, _ = w.Commit(t.Context(), roster.Commit{Trip: roster.NewTrip("cccdefghij", "keelhaven")})
			}
			if broken := w.Broken(); len(broken) != 2 {
				t.Errorf("%d trips, want both that were written to", len(broken))
			}
		})
	}
}
