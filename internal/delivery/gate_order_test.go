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
		if err := g.enter(t.Context(), roster.LevelAnnouncement); err != nil {
			t.Fatal(err)
		}
		impatient, giveUp := context.WithCancel(t.Context())
		var order []string
		for _, v := range []struct {
			name  string
			level roster.Level
			ctx   context.Context
		}{
			{"announcement 1", roster.LevelAnnouncement, t.Context()},
			{"impatient answer", roster.LevelAnswer, impatient},
			{"reminder", roster.LevelReminder, t.Context()},
			{"stranger", roster.LevelStranger, t.Context()},
			{"announcement 2", roster.LevelAnnouncement, t.Context()},
			{"word", roster.LevelWord, t.Context()},
			{"answer 1", roster.LevelAnswer, t.Context()},
			{"verdict", roster.LevelVerdict, t.Context()},
			{"answer 2", roster.LevelAnswer, t.Context()},
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
		want := []string{"verdict", "answer 1", "answer 2", "word", "reminder", "announcement 1", "announcement 2",
			"stranger"}
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
		if err := g.enter(t.Context(), roster.LevelAnnouncement); err != nil {
			t.Fatal(err)
		}
		v := g.queue(roster.LevelVerdict)
		g.leave() // it is v's turn, and v does not look any more
		g.giveUp(v)
		if g.busy {
			t.Error("the gate stays shut for ever")
		}
	})
}
