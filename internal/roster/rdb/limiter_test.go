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
	got, err := p.l.TakeAll(p.t.Context(), level, []roster.Window{{Bucket: "bot", Most: 1, Period: window}}, at)
	if err != nil || got.Wait != want || (got.Slot == "") != (want > 0) {
		p.t.Errorf("level %d at %v: got %+v, %v, want a wait of %v", level, at.Sub(departs), got, err, want)
	}
	return got.Slot
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

// A chat that has had its share takes nothing of the bot's, and the other way round; a
// call that is repeated takes one place.
func TestLimiterTakesOfAllWindowsOrNone(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		l := rdb.New(srv.client).Limiter()
		windows := func(chat string) []roster.Window {
			return []roster.Window{{Bucket: "bot/chat:" + chat, Most: 1, Period: 2 * window},
				{Bucket: "bot/all", Most: 2, Period: window}}
		}
		takes := func(chat string, at time.Duration, wait time.Duration, full int) (slot string) {
			t.Helper()
			got, err := l.TakeAll(t.Context(), roster.LevelAnswer, windows(chat), departs.Add(at))
			if err != nil || got.Wait != wait || got.Full != full || (got.Slot == "") != (wait > 0) {
				t.Errorf("chat %s after %v: got %+v, %v, want a wait of %v for window %d", chat, at, got, err, wait, full)
			}
			return got.Slot
		}
		first := takes("a", 0, 0, 0)
		must(t, l.ReleaseAll(t.Context(), windows("a"), first, departs))
		for range 3 {
			takes("a", time.Second, 2*window-time.Second, 0)
		}
		second := takes("b", time.Second, 0, 0) // the bot's second place is still there
		must(t, l.ReleaseAll(t.Context(), windows("b"), second, departs.Add(time.Second)))
		for range 3 {
			takes("c", 2*time.Second, window-2*time.Second, 1)
		}
		takes("c", window, 0, 0) // c's own one is
	})
}
