package rdb_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func TestEverythingExpiresTogether(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		life := time.Minute
		if srv.forward == nil {
			life = time.Second
		}
		trip := create(t, s, "aaaaaaaaaa", expire(time.Now().Add(time.Hour)), wake(departs), source("tg:7"),
			session("p2", `{}`),
			out(envelope("a", "p2", roster.LevelVerdict), envelope("b", "p1", roster.LevelAnnouncement),
				envelope("c", "p2", roster.LevelVerdict)),
			func(c *roster.Commit) { c.Events = []json.RawMessage{[]byte(`{}`)} })
		must(t, s.Chats().Append(t.Context(), trip.ID, "p2", roster.Entry{ID: "m1", At: departs}))
		claimed, err := s.Outbox().Claim(t.Context(), "w", departs, time.Hour, 1, nil)
		must(t, err)
		must(t, s.Outbox().Dead(t.Context(), claimed[0], "gone", departs))
		mustCommit(t, s, trip, expire(time.Now().Add(life)), wake(departs)) // now that all is there

		if srv.forward != nil {
			srv.forward(2 * life)
		}
		eventually(t, "the trip to expire", func() bool {
			_, err := s.Load(t.Context(), trip.ID, "")
			return errors.Is(err, roster.ErrNotFound)
		})
		if err := s.Chats().Append(t.Context(), trip.ID, "p2", roster.Entry{ID: "m2"}); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("writing to a page after its trip: got %v, want not found", err)
		}
		if got, err := s.Outbox().Claim(t.Context(), "w", departs, time.Hour, 5, nil); err != nil || len(got) != 0 {
			t.Errorf("claim after the trip expired: got %d messages, %v, want none", len(got), err)
		}
		s.Now = func() time.Time { return time.Now().Add(2 * life) }
		if due, err := s.Due(t.Context(), departs, 5); err != nil || len(due) != 0 {
			t.Errorf("due after the trip expired: got %v, %v, want none", due, err)
		}
		for key, content := range dump(t, srv.client) {
			if strings.Contains(key+content, string(trip.ID)) || strings.Contains(key+content, "chat-of") {
				t.Errorf("left behind: %s = %s", key, content)
			}
		}
	})
}

func TestExpiryFollowsTheTrip(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		soon := time.Now().Add(time.Hour)
		trip := create(t, s, "aaaaaaaaaa", expire(soon), out(envelope("a", "p2", roster.LevelVerdict)), session("p2", `{}`))
		must(t, s.Chats().Append(t.Context(), trip.ID, "p2", roster.Entry{ID: "m1"}))
		must(t, s.Outbox().Dead(t.Context(), claim(t, s.Outbox(), departs, 1)[0], "gone", departs))
		expires := func(want time.Duration) {
			t.Helper()
			for key := range dump(t, srv.client) {
				if !strings.Contains(key, string(trip.ID)) {
					continue
				}
				ttl, err := srv.client.TTL(t.Context(), key).Result()
				if err != nil || ttl < want-time.Minute || ttl > want+time.Minute {
					t.Errorf("%s expires in %v, %v; want %v", key, ttl, err, want)
				}
			}
		}
		expires(time.Hour)
		trip = mustCommit(t, s, trip, expire(soon.Add(100*time.Hour)))
		expires(101 * time.Hour)
	})
}
