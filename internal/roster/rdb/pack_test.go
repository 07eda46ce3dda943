package rdb_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// chronicle commits lines of log and news, numbered from first on.
func chronicle(t *testing.T, s *rdb.Store, trip *roster.Trip, first, n int) {
	t.Helper()
	for i := first; i < first+n; i += 7 {
		c := commitOf(trip)
		for j := i; j < min(i+7, first+n); j++ {
			trip.Acts = append(trip.Acts, roster.Act{At: departs, Verb: "limit", Reason: fmt.Sprintf("<Ottokar> %d", j)})
			c.Events = append(c.Events, json.RawMessage(fmt.Sprintf(`{"name":"Ottokar & %d","type":"x"}`, j)))
		}
		must(t, s.Commit(t.Context(), c))
	}
}

// wantChronicle wants as many lines of each, in their order, about somebody.
func wantChronicle(t *testing.T, s *rdb.Store, id roster.TripID, n int, about string) {
	t.Helper()
	acts, err := s.Log(t.Context(), id)
	must(t, err)
	events, err := s.Events(t.Context(), id)
	must(t, err)
	if len(acts) != n || len(events) != n {
		t.Fatalf("%d lines of log and %d of news, want %d", len(acts), len(events), n)
	}
	for i := range n {
		if want := fmt.Sprintf("<%s> %d", about, i); acts[i].Reason != want || !acts[i].At.Equal(departs) {
			t.Fatalf("line %d of the log is %+v, want %q", i, acts[i], want)
		}
		if want := fmt.Sprintf(`{"name":"%s & %d","type":"x"}`, about, i); string(events[i]) != want {
			t.Fatalf("line %d of the news is %s, want %s", i, events[i], want)
		}
	}
}

// sweep is what the service does with every beat.
func sweep(t *testing.T, s *rdb.Store) {
	t.Helper()
	_, err := s.Due(t.Context(), departs.Add(-time.Hour), 1)
	must(t, err)
}

// Older lines of log and news are packed in the background: they take less
// room, are read, told and rewritten as before, and expire with the trip.
func TestOldLinesArePacked(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client), t.Context()
		trip := create(t, s, "aaaaaaaaaa")
		chronicle(t, s, trip, 0, 63)
		sweep(t, s)
		before := len(dump(t, srv.client))
		chronicle(t, s, trip, 63, 140)
		sweep(t, s)
		wantChronicle(t, s, trip.ID, 203, "Ottokar")
		stored := dump(t, srv.client)
		if len(stored) != before+2 {
			t.Errorf("%d keys, want two more than %d", len(stored), before)
		}
		size := 0
		for key, v := range stored {
			if strings.Contains(key, "log:") || strings.Contains(key, "events:") {
				size += len(v)
				if srv.client.PTTL(ctx, key).Val() <= 0 {
					t.Errorf("%s stays for ever", key)
				}
			}
		}
		if size > 203*40 {
			t.Errorf("203 lines of each take %d bytes", size)
		}

		// Told one by one, across the border.
		news := s.News()
		for i := range 203 {
			got, err := news.TakeNews(ctx, "t", departs, time.Minute, 1)
			must(t, err)
			if len(got) != 1 || got[0].Number != i+1 || string(got[0].Event) != fmt.Sprintf(`{"name":"Ottokar & %d","type":"x"}`, i) {
				t.Fatalf("event %d is taken as %+v", i+1, got)
			}
			must(t, news.EndNews(ctx, got[0], roster.NewsTold, time.Time{}))
		}
		if n, err := news.NewsWaiting(ctx, []roster.TripID{trip.ID}); n != 0 || err != nil {
			t.Errorf("%d still to tell, %v", n, err)
		}
		for from, want := range map[int]int{10: 194, 150: 54, 203: 1} {
			if left, err := news.WakeNews(ctx, "bluebarrel", trip.ID, from, false, departs); err != nil || left != want {
				t.Errorf("from %d on: %d to tell, %v, want %d", from, left, err, want)
			}
			if n, err := news.NewsWaiting(ctx, []roster.TripID{trip.ID}); n != want || err != nil {
				t.Errorf("from %d on: %d wait, %v, want %d", from, n, err, want)
			}
		}
		if _, err := news.WakeNews(ctx, "bluebarrel", trip.ID, 204, false, departs); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("beyond the last: %v", err)
		}

		missed, err := s.Redact(ctx, "bluebarrel", trip.ID, ottokarOut())
		if err != nil || missed != 0 {
			t.Fatalf("redact: %d missed, %v", missed, err)
		}
		wantChronicle(t, s, trip.ID, 203, "erased")
		mustCommit(t, s, trip, expire(time.Now().Add(time.Hour)))
		for key := range stored {
			if ttl := srv.client.PTTL(ctx, key).Val(); strings.HasSuffix(key, ":"+string(trip.ID)) && ttl > time.Hour {
				t.Errorf("%s expires in %v, want an hour", key, ttl)
			}
		}
	})
}

// meddler does something once, after a command of that name was answered.
type meddler struct {
	redis.Hook
	after string
	do    func()
}

func (m *meddler) DialHook(next redis.DialHook) redis.DialHook { return next }
func (m *meddler) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return next
}
func (m *meddler) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		err := next(ctx, cmd)
		if do := m.do; do != nil && cmd.Name() == m.after {
			m.do = nil
			do()
		}
		return err
	}
}

// Lines that are rewritten, or packed by another process, after they were read
// for packing are not written over.
func TestPackingMeetsARewrite(t *testing.T) {
	for name, meddle := range map[string]func(t *testing.T, other *rdb.Store, trip *roster.Trip){
		"somebody is forgotten": func(t *testing.T, other *rdb.Store, trip *roster.Trip) {
			if _, err := other.Redact(t.Context(), "bluebarrel", trip.ID, ottokarOut()); err != nil {
				t.Fatal(err)
			}
		},
		"another process packs": func(t *testing.T, other *rdb.Store, trip *roster.Trip) {
			mustCommit(t, other, load(t, other, trip.ID, "").Trip, func(c *roster.Commit) {
				c.Trip.Acts = []roster.Act{{At: departs, Verb: "limit", Reason: "<Ottokar> 70"}}
				c.Events = []json.RawMessage{json.RawMessage(`{"name":"Ottokar & 70","type":"x"}`)}
			})
			sweep(t, other)
		},
	} {
		t.Run(name, func(t *testing.T) {
			srv := embedded(t)
			s, other := rdb.New(srv.client), rdb.New(open(t, "redis://"+addrOf(srv.client)))
			trip := create(t, s, "aaaaaaaaaa")
			chronicle(t, s, trip, 0, 70)
			m := &meddler{after: "lrange", do: func() { meddle(t, other, trip) }}
			srv.client.AddHook(m)
			sweep(t, s)
			if m.do != nil {
				t.Fatal("nothing came in between: the test tests nothing")
			}
			if name == "somebody is forgotten" {
				wantChronicle(t, s, trip.ID, 70, "erased")
			} else {
				wantChronicle(t, s, trip.ID, 71, "Ottokar")
			}
		})
	}
}

// Packing that fails keeps nobody from being reminded, loses nothing, and is
// made good later.
func TestPackingThatFails(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client), t.Context()
		trip := create(t, s, "aaaaaaaaaa", wake(departs.Add(-2*time.Hour)))
		chronicle(t, s, trip, 0, 70)
		mustCommit(t, s, trip, wake(departs.Add(-2*time.Hour)))
		old := strings.Replace(rdb.TripKey(trip.ID), ":trip:", ":oldlog:", 1)
		must(t, srv.client.Set(ctx, old, "no list", 0).Err())
		due, err := s.Due(ctx, departs.Add(-time.Hour), 1)
		if err != nil || len(due) != 1 {
			t.Errorf("due: %v, %v, want the trip", due, err)
		}
		must(t, srv.client.Del(ctx, old).Err())
		wantChronicle(t, s, trip.ID, 70, "Ottokar")
		chronicle(t, s, trip, 70, 7)
		sweep(t, s)
		wantChronicle(t, s, trip.ID, 77, "Ottokar")
		if n := srv.client.LLen(ctx, old).Val(); n != 1 {
			t.Errorf("%d times 64 lines are packed, want one", n)
		}
	})
}
