package rdb_test

import (
	"slices"
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// A clock that is set back an hour keeps nothing waiting for that hour: not
// what a dead process had in hand, not what was put back for a moment.
func TestOutboxAfterTheClockWasSetBack(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelVerdict),
			envelope("b", "p2", roster.LevelAnnouncement)))
		before := claim(t, o, departs, 10)
		if got := ids(before); !slices.Equal(got, []string{"a", "b"}) {
			t.Fatalf("claimed %v, want a, b", got)
		}
		must(t, o.Later(t.Context(), before[1], departs.Add(5*time.Second), false))

		back := departs.Add(-time.Hour)
		got := claim(t, o, back, 10)
		if !slices.Equal(ids(got), []string{"b"}) || got[0].Unsure {
			t.Errorf("at once after the step: claimed %v, want b, which was put back for five seconds; the lease of a may "+
				"still be held", ids(got))
		}
		must(t, o.Sent(t.Context(), got[0]))
		if got := claim(t, o, back.Add(time.Minute-time.Millisecond), 10); len(got) > 0 {
			t.Errorf("within the lease: claimed %v", ids(got))
		}
		got = claim(t, o, back.Add(time.Minute), 10)
		if !slices.Equal(ids(got), []string{"a"}) || !got[0].Unsure {
			t.Fatalf("a lease after the step: claimed %v, want a, unsure", ids(got))
		}
		must(t, o.Sent(t.Context(), got[0]))
		mustCommit(t, s, trip, out(envelope("c", "p1", roster.LevelVerdict)))
		if got := claim(t, o, back.Add(5*time.Minute), 10); !slices.Equal(ids(got), []string{"c"}) {
			t.Errorf("what was committed after the step: claimed %v, want c", ids(got))
		}
	})
}

// A clock that is set back an hour stops no limit for that hour, and frees
// nothing before its time; set forward and back again, neither.
func TestLimiterAfterTheClockWasSetBack(t *testing.T) {
	const period = time.Second
	eachServer(t, func(t *testing.T, srv *server) {
		now := time.Now().Truncate(time.Millisecond)
		s := rdb.New(srv.client)
		s.Now = func() time.Time { return now }
		l := s.Limiter()
		take := func(limit string, after time.Duration) (time.Duration, string) {
			t.Helper()
			wait, slot, err := l.Take(t.Context(), limit, 1, period, now.Add(after))
			must(t, err)
			return wait, slot
		}
		_, slot := take("bot", 0)
		must(t, l.Release(t.Context(), "bot", slot, period, now))
		now = now.Add(-time.Hour)
		if wait, _ := take("bot", 0); wait != period {
			t.Errorf("at once after the step: wait %v, want a whole period, %v", wait, period)
		}
		if wait, slot := take("bot", period); wait != 0 || slot == "" {
			t.Errorf("a period after the step: wait %v, want none", wait)
		}

		must(t, l.Pause(t.Context(), "paused", now.Add(20*time.Second)))
		now = now.Add(-time.Hour)
		if wait, _ := take("paused", 0); wait != 20*time.Second {
			t.Errorf("paused for 20 s before the step: wait %v, want 20s", wait)
		}
		if wait, _ := take("paused", 15*time.Second); wait != 5*time.Second {
			t.Errorf("15 s later: wait %v, want 5s", wait)
		}
		must(t, l.Pause(t.Context(), "paused", now.Add(40*time.Second)))
		if wait, _ := take("paused", 15*time.Second); wait != 25*time.Second {
			t.Errorf("paused again for longer: wait %v, want 25s", wait)
		}
		if wait, _ := take("paused", 40*time.Second); wait != 0 {
			t.Errorf("after the pause: wait %v, want none", wait)
		}
	})
}

// What a limit keeps expires by the server's clock, which need not agree with
// ours.
func TestLimiterOnAServerWithAnotherClock(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		for _, ahead := range []time.Duration{-time.Hour, time.Hour} {
			now := time.Now().Add(ahead)
			s := rdb.New(srv.client)
			s.Now = func() time.Time { return now }
			l := s.Limiter()
			limit := "bot" + ahead.String()
			_, slot, err := l.Take(t.Context(), limit, 1, 10*time.Second, now)
			must(t, err)
			must(t, l.Release(t.Context(), limit, slot, 10*time.Second, now))
			if wait, _, err := l.Take(t.Context(), limit, 1, 10*time.Second, now.Add(time.Millisecond)); err != nil ||
				wait <= 0 {
				t.Errorf("our clock %v ahead: a slot in the window, and no wait (%v)", ahead, err)
			}
			must(t, l.Pause(t.Context(), limit, now.Add(30*time.Second)))
			for key := range dump(t, srv.client) {
				if ttl := srv.client.PTTL(t.Context(), key).Val(); ttl <= 0 || ttl > 71*time.Second {
					t.Errorf("our clock %v ahead: %s lives %v", ahead, key, ttl)
				}
			}
			if wait, _, err := l.Take(t.Context(), limit, 1, 10*time.Second, now); err != nil || wait != 30*time.Second {
				t.Errorf("our clock %v ahead, paused: wait %v, %v, want 30s", ahead, wait, err)
			}
		}
	})
}

// A clock that is far ahead erases nothing that the server still keeps.
func TestClockAYearAheadErasesNothing(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa", expire(time.Now().Add(time.Hour)), wake(departs))
		s.Now = func() time.Time { return time.Now().AddDate(1, 0, 0) }
		due, err := s.Due(t.Context(), departs, 5)
		if err != nil || len(due) != 1 || due[0] != trip.ID {
			t.Errorf("due %v, %v, want the trip", due, err)
		}
		load(t, s, trip.ID, "")
	})
}
