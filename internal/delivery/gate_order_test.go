package delivery

import (
	"context"
	"errors"
	"slices"
	"testing"
	"testing/synctest"

	"gasmuster/internal/roster"
)

// The most urgent is next, and among equals who came first; who gives up is
// passed over.
func TestGateLetsTheMostUrgentInFirst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var g gate
		if err := g.enter(t.Context(), roster.Bulk); err != nil {
			t.Fatal(err)
		}
		impatient, giveUp := context.WithCancel(t.Context())
		var order []string
		for _, v := range []struct {
			name  string
			level roster.Level
			ctx   context.Context
		}{
			{"announcement 1", roster.Bulk, t.Context()},
			{"impatient answer", roster.Urgent, impatient},
			{"reminder", roster.Normal, t.Context()},
			{"announcement 2", roster.Bulk, t.Context()},
			{"answer 1", roster.Urgent, t.Context()},
			{"answer 2", roster.Urgent, t.Context()},
		} {
			go func() {
				err := g.enter(v.ctx, v.level)
				if errors.Is(err, context.Canceled) {
					return
				}
				order = append(order, v.name) // whoever is inside is alone
				g.leave()
			}()
			synctest.Wait()
		}
		giveUp()
		synctest.Wait()
		g.leave()
		synctest.Wait()
		want := []string{"answer 1", "answer 2", "reminder", "announcement 1", "announcement 2"}
		if !slices.Equal(order, want) {
			t.Errorf("let in %v, want %v", order, want)
		}
		if g.busy || len(g.waiting) > 0 {
			t.Errorf("left busy %v with %d waiting, want it free", g.busy, len(g.waiting))
		}
	})
}

// Who gives up at the instant of being let in passes the gate on.
func TestGateIsPassedOnByWhoGaveUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var g gate
		if err := g.enter(t.Context(), roster.Bulk); err != nil {
			t.Fatal(err)
		}
		v := g.queue(roster.Urgent)
		g.leave() // it is v's turn, and v does not look any more
		g.giveUp(v)
		if g.busy {
			t.Error("the gate stays shut for ever")
		}
	})
}
