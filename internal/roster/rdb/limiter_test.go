package rdb_test

import (
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// window is the period of these tests: what a limit keeps of who waits lives as long
// by the server's own clock, which must outlast a slow machine.
const window = time.Minute

// place is one process that asks for a place of a window of one.
type place struct {
	t *testing.T
	l *rdb.Limiter
}

// takes asks at an instant and fails when the answer is another wait than want.
func (p place) takes(level roster.Level, at time.Time, want time.Duration) (slot string) {
	p.t.Helper()
	wait, slot, err := p.l.TakeFor(p.t.Context(), level, "bot", 1, window, at)
	if err != nil || wait != want || (slot == "") != (want > 0) {
		p.t.Errorf("level %d at %v: got a wait of %v and slot %q, %v, want %v", level, at.Sub(departs), wait, slot, err, want)
	}
	return slot
}

// What is needed more passes what another process has waited with for longer.
func TestLimiterServesWhatIsNeededMore(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		a, b := place{t, rdb.New(srv.client).Limiter()}, place{t, rdb.New(srv.client).Limiter()}
		const ms = time.Millisecond
		at := func(d time.Duration) time.Time { return departs.Add(d) }
		release := func(p place, slot string, when time.Time) {
			must(t, p.l.Release(t.Context(), "bot", slot, window, when))
		}
		first := a.takes(roster.LevelVerdict, at(0), 0)
		release(a, first, at(0))
		a.takes(roster.LevelAnnouncement, at(10*ms), window-10*ms)
		b.takes(roster.LevelWord, at(500*ms), window-500*ms)
		a.takes(roster.LevelAnnouncement, at(window), 50*ms) // there is room, and b needs it more
		a.takes(roster.LevelReminder, at(window), 50*ms)
		second := a.takes(roster.LevelAnswer, at(window+ms), 0) // this one is needed more than b's
		release(a, second, at(window+ms))
		b.takes(roster.LevelWord, at(window+2*ms), window-ms)
		third := b.takes(roster.LevelWord, at(2*window+ms), 0)
		release(b, third, at(2*window+ms))
		a.takes(roster.LevelAnnouncement, at(3*window+ms), 0)
	})
}

// Who was told to wait and never came back holds nobody up, nor does one who will
// come back by a clock that was set back since.
func TestLimiterWaitsForNobodyWhoIsGone(t *testing.T) {
	for name, ask := range map[string]time.Duration{"the wait is over": window + 51*time.Millisecond,
		"the clock was set back": -time.Hour} {
		t.Run(name, func(t *testing.T) {
			eachServer(t, func(t *testing.T, srv *server) {
				a, gone := place{t, rdb.New(srv.client).Limiter()}, place{t, rdb.New(srv.client).Limiter()}
				slot := a.takes(roster.LevelVerdict, departs, 0)
				must(t, a.l.Release(t.Context(), "bot", slot, window, departs))
				gone.takes(roster.LevelVerdict, departs.Add(10*time.Millisecond), window-10*time.Millisecond)
				must(t, a.l.Release(t.Context(), "bot", slot, window, departs.Add(ask-window)))
				a.takes(roster.LevelAnnouncement, departs.Add(ask), 0)
			})
		})
	}
}
