package rdb_test

import (
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// place is one process that asks for a place of a window of one a second.
type place struct {
	t *testing.T
	l *rdb.Limiter
}

// takes asks at an instant and fails when the answer is another wait than want.
func (p place) takes(level roster.Level, at time.Time, want time.Duration) (slot string) {
	p.t.Helper()
	wait, slot, err := p.l.TakeFor(p.t.Context(), level, "bot", 1, time.Second, at)
	if err != nil || wait != want || (slot == "") != (want > 0) {
		p.t.Errorf("level %d at %v: got a wait of %v and slot %q, %v, want %v", level, at.Sub(departs), wait, slot, err, want)
	}
	return slot
}

// What is needed more passes what another process has waited with for longer.
func TestLimiterServesWhatIsNeededMore(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		a, b := place{t, rdb.New(srv.client).Limiter()}, place{t, rdb.New(srv.client).Limiter()}
		at := func(ms int) time.Time { return departs.Add(time.Duration(ms) * time.Millisecond) }
		release := func(p place, slot string, when time.Time) {
			must(t, p.l.Release(t.Context(), "bot", slot, time.Second, when))
		}
		first := a.takes(roster.LevelVerdict, at(0), 0)
		release(a, first, at(0))
		a.takes(roster.LevelAnnouncement, at(10), 990*time.Millisecond)
		b.takes(roster.LevelWord, at(500), 500*time.Millisecond)
		a.takes(roster.LevelAnnouncement, at(1000), 50*time.Millisecond) // there is room, and b needs it more
		a.takes(roster.LevelReminder, at(1000), 50*time.Millisecond)
		second := a.takes(roster.LevelAnswer, at(1001), 0) // this one is needed more than b's
		release(a, second, at(1001))
		b.takes(roster.LevelWord, at(1002), 999*time.Millisecond)
		third := b.takes(roster.LevelWord, at(2001), 0)
		release(b, third, at(2001))
		a.takes(roster.LevelAnnouncement, at(3001), 0)
	})
}

// Who was told to wait and never came back holds nobody up, nor does one who will
// come back by a clock that was set back since.
func TestLimiterWaitsForNobodyWhoIsGone(t *testing.T) {
	for name, ask := range map[string]time.Duration{"the wait is over": 1051 * time.Millisecond, "the clock was set back": -time.Hour} {
		t.Run(name, func(t *testing.T) {
			eachServer(t, func(t *testing.T, srv *server) {
				a, gone := place{t, rdb.New(srv.client).Limiter()}, place{t, rdb.New(srv.client).Limiter()}
				slot := a.takes(roster.LevelVerdict, departs, 0)
				must(t, a.l.Release(t.Context(), "bot", slot, time.Second, departs))
				gone.takes(roster.LevelVerdict, departs.Add(10*time.Millisecond), 990*time.Millisecond)
				must(t, a.l.Release(t.Context(), "bot", slot, time.Second, departs.Add(ask-time.Second)))
				a.takes(roster.LevelAnnouncement, departs.Add(ask), 0)
			})
		})
	}
}
