package rdb_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

var tomasz = roster.Address{Channel: "telegram", ID: "42"}

func TestRoutes(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		p := s.Addresses()
		at := time.Now()
		p.Now = func() time.Time { at = at.Add(time.Millisecond); return at }
		first := roster.Seat{Trip: "zzzzzzzzzz", Person: "p2", Departs: departs}
		second := roster.Seat{Trip: "aaaaaaaaaa", Person: "p7", Departs: departs.Add(time.Hour)}
		must(t, p.Seat(t.Context(), tomasz, first))
		must(t, p.Seat(t.Context(), tomasz, second))
		first.Departs = departs.Add(2 * time.Hour)
		must(t, p.Seat(t.Context(), tomasz, first)) // moved; keeps its place
		must(t, p.Prefer(t.Context(), tomasz, "aaaaaaaaaa", "pt", ""))
		must(t, p.Prefer(t.Context(), tomasz, "", "", "ft"))

		want := roster.Route{Trips: []roster.Seat{first, second}, Current: "aaaaaaaaaa", Language: "pt", Units: "ft"}
		route := func(source string) roster.Route {
			t.Helper()
			r, err := p.Route(t.Context(), tomasz, source)
			must(t, err)
			return r
		}
		if d := cmp.Diff(want, route("m1")); d != "" {
			t.Errorf("route (-want +got):\n%s", d)
		}

		for _, c := range []struct{ source, trip, want roster.TripID }{
			{"m1", "aaaaaaaaaa", "aaaaaaaaaa"}, {"m1", "zzzzzzzzzz", "aaaaaaaaaa"}, {"m2", "zzzzzzzzzz", "zzzzzzzzzz"},
		} {
			got, err := p.Claim(t.Context(), tomasz, string(c.source), c.trip)
			if err != nil || got != c.want {
				t.Errorf("claim of %s by %s: got %s, %v, want %s", c.source, c.trip, got, err, c.want)
			}
		}
		if got := route("m1").Claimed; got != "aaaaaaaaaa" {
			t.Errorf("claimed: got %q, want the first claim", got)
		}

		must(t, p.Unseat(t.Context(), tomasz, "aaaaaaaaaa"))
		if got := route("").Trips; len(got) != 1 || got[0].Trip != "zzzzzzzzzz" {
			t.Errorf("after unlinking: got %v", got)
		}

		at = at.Add(49 * time.Hour)
		if got := route("m1").Claimed; got != "" {
			t.Errorf("a claim is kept 48 hours: got %q after 49", got)
		}
		if got, err := p.Claim(t.Context(), tomasz, "m1", "zzzzzzzzzz"); err != nil || got != "zzzzzzzzzz" {
			t.Errorf("claiming anew after 49 hours: got %q, %v", got, err)
		}
		must(t, p.Forget(t.Context(), tomasz))
		if d := cmp.Diff(roster.Route{}, route("m2")); d != "" {
			t.Errorf("after forgetting (-want +got):\n%s", d)
		}
		if left := dump(t, srv.client); len(left) != 0 {
			t.Errorf("left behind after forgetting: %v", left)
		}
	})
}

func TestSeatsExpire(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		p := rdb.New(srv.client).Addresses()
		now := time.Now()
		must(t, p.Seat(t.Context(), tomasz, roster.Seat{Trip: "aaaaaaaaaa", Person: "p1", Departs: now,
			Expires: now.Add(time.Hour)}))
		must(t, p.Seat(t.Context(), tomasz, roster.Seat{Trip: "bbbbbbbbbb", Person: "p1", Departs: now}))
		p.Now = func() time.Time { return now.Add(2 * time.Hour) }
		r, err := p.Route(t.Context(), tomasz, "")
		must(t, err)
		if len(r.Trips) != 1 || r.Trips[0].Trip != "bbbbbbbbbb" {
			t.Errorf("after the first trip expired: got %v", r.Trips)
		}
		for key := range dump(t, srv.client) {
			ttl, err := srv.client.TTL(t.Context(), key).Result()
			if err != nil || ttl < 30*24*time.Hour || ttl > 32*24*time.Hour {
				t.Errorf("%s lives %v, %v; want until its last seat ends", key, ttl, err)
			}
		}
		p.Now = func() time.Time { return now.Add(40 * 24 * time.Hour) }
		must(t, p.Seat(t.Context(), tomasz, roster.Seat{Trip: "cccccccccc", Person: "p1", Departs: p.Now()}))
		if got := srv.client.HLen(t.Context(), "gm:{who:telegram:42}:record").Val(); got != 1 {
			t.Errorf("a new seat clears old ones away: got %d fields, want 1", got)
		}
	})
}

func TestManyClaims(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		p := rdb.New(srv.client).Addresses()
		now := time.Now()
		for i := range 300 {
			p.Now = func() time.Time { return now.Add(time.Duration(i) * 20 * time.Minute) } // a hundred hours
			_, err := p.Claim(t.Context(), tomasz, fmt.Sprint("m", i), "aaaaaaaaaa")
			must(t, err)
		}
		if n := srv.client.HLen(t.Context(), "gm:{who:telegram:42}:claims").Val(); n > 256 {
			t.Errorf("claims kept: %d, want those of 48 hours only", n)
		}
		if r, err := p.Route(t.Context(), tomasz, "m299"); err != nil || r.Claimed != "aaaaaaaaaa" {
			t.Errorf("the newest claim: got %q, %v", r.Claimed, err)
		}
	})
}

func TestMigrate(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		p := rdb.New(srv.client).Addresses()
		to := roster.Address{Channel: "telegram", ID: "-1001"}
		must(t, p.Seat(t.Context(), tomasz, roster.Seat{Trip: "aaaaaaaaaa", Departs: departs}))
		must(t, p.Prefer(t.Context(), tomasz, "", "pt", "m"))
		must(t, p.Prefer(t.Context(), to, "", "", "ft"))
		for range 2 { // the second is a repeated delivery
			must(t, p.Migrate(t.Context(), tomasz, to))
			r, err := p.Route(t.Context(), to, "")
			must(t, err)
			if len(r.Trips) != 1 || r.Language != "pt" || r.Units != "ft" {
				t.Errorf("at the new address: got %+v", r)
			}
		}
		if r, err := p.Route(t.Context(), tomasz, ""); err != nil || len(r.Trips) != 0 || r.Language != "" {
			t.Errorf("at the old address: got %+v, %v", r, err)
		}
	})
}

func TestChats(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		c := s.Chats()
		create(t, s, "aaaaaaaaaa")
		for _, m := range []struct {
			p  roster.PersonID
			id string
		}{{"p1", "a"}, {"p10", "x"}, {"p1", "b"}, {"p1", "a"}, {"p1", "c"}} {
			must(t, c.Append(t.Context(), "aaaaaaaaaa", m.p,
				roster.Entry{ID: m.id, At: departs, Own: true, Text: "32.4 über 🐟 \x00"}))
		}
		for _, tt := range []struct {
			p     roster.PersonID
			after string
			want  []string
		}{
			{"p1", "", []string{"a", "b", "c"}}, {"p1", "a", []string{"b", "c"}}, {"p1", "c", nil},
			{"p1", "unknown", []string{"a", "b", "c"}}, {"p10", "", []string{"x"}}, {"p2", "", nil},
		} {
			got, err := c.Read(t.Context(), "aaaaaaaaaa", tt.p, tt.after)
			must(t, err)
			var gotIDs []string
			for _, e := range got {
				gotIDs = append(gotIDs, e.ID)
				if e.Text != "32.4 über 🐟 \x00" || !e.Own || !e.At.Equal(departs) {
					t.Errorf("entry came back as %+v", e)
				}
			}
			if d := cmp.Diff(tt.want, gotIDs); d != "" {
				t.Errorf("page of %s after %q (-want +got):\n%s", tt.p, tt.after, d)
			}
		}
		must(t, c.Erase(t.Context(), "aaaaaaaaaa", "p1"))
		if got, err := c.Read(t.Context(), "aaaaaaaaaa", "p1", ""); err != nil || len(got) != 0 {
			t.Errorf("an erased page: got %v, %v", got, err)
		}
		if got, err := c.Read(t.Context(), "aaaaaaaaaa", "p10", ""); err != nil || len(got) != 1 {
			t.Errorf("another person's page: got %v, %v", got, err)
		}
		if err := c.Append(t.Context(), "zzzzzzzzzz", "p1", roster.Entry{ID: "a"}); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("page of an unknown trip: got %v, want not found", err)
		}
	})
}

func TestShops(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client).Shops()
		a := roster.Shop{ID: "s1", Name: "Blue Barrel", KeyHash: "hash1", Created: departs}
		must(t, s.PutShop(t.Context(), a))
		must(t, s.PutShop(t.Context(), roster.Shop{ID: "s2", Name: "Arco", KeyHash: "hash2"}))
		if err := s.PutShop(t.Context(), roster.Shop{ID: "s3", Name: "Blue Barrel", KeyHash: "hash3"}); !errors.Is(err,
			roster.ErrConflict) {
			t.Errorf("a taken name: got %v, want a conflict", err)
		}
		if err := s.PutShop(t.Context(), roster.Shop{ID: "s3", Name: "Third", KeyHash: "hash1"}); !errors.Is(err,
			roster.ErrConflict) {
			t.Errorf("a taken key: got %v, want a conflict", err)
		}
		if got, err := s.ShopByKey(t.Context(), "hash1"); err != nil || got.ID != "s1" || got.Name != "Blue Barrel" {
			t.Errorf("by key: got %+v, %v", got, err)
		}
		a.KeyHash = "hash4"
		must(t, s.PutShop(t.Context(), a)) // rotated
		if _, err := s.ShopByKey(t.Context(), "hash1"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("by the old key: got %v, want not found", err)
		}
		if got, err := s.ShopByKey(t.Context(), "hash4"); err != nil || got.ID != "s1" {
			t.Errorf("by the new key: got %+v, %v", got, err)
		}
		list, err := s.ShopList(t.Context())
		if err != nil || len(list) != 2 || list[0].Name != "Arco" {
			t.Errorf("list: got %+v, %v", list, err)
		}
	})
}

func TestIdempotencyKeys(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client).Shops()
		ask := func(body, want string, same bool) {
			t.Helper()
			got, sameBody, err := s.Idempotent(t.Context(), "s1", "key", body)
			if err != nil || string(got) != want || sameBody != same {
				t.Errorf("asked with %q: got %q, same %v, %v; want %q, same %v", body, got, sameBody, err, want, same)
			}
		}
		ask("body", "", true)
		ask("body", "", true) // the first process died: it may run again
		ask("other", "", false)
		must(t, s.Answer(t.Context(), "s1", "key", "body", []byte("answer")))
		must(t, s.Answer(t.Context(), "s1", "key", "body", []byte("answer")))
		if err := s.Answer(t.Context(), "s1", "key", "other", []byte("x")); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("answering another request's key: got %v, want a conflict", err)
		}
		ask("body", "answer", true)
		ask("other", "answer", false)
		if got, _, err := s.Idempotent(t.Context(), "s2", "key", "body"); err != nil || got != nil {
			t.Errorf("another shop's key: got %q, %v, want a new claim", got, err)
		}
		for key := range dump(t, srv.client) {
			if ttl := srv.client.TTL(t.Context(), key).Val(); ttl < 23*time.Hour || ttl > 24*time.Hour {
				t.Errorf("%s lives %v, want 24 h", key, ttl)
			}
		}
	})
}

func TestLimiterWindow(t *testing.T) {
	const period = time.Second
	eachServer(t, func(t *testing.T, srv *server) {
		l := rdb.New(srv.client).Limiter()
		now := time.Now().Truncate(time.Millisecond)
		take := func(after time.Duration) (time.Duration, string) {
			t.Helper()
			wait, slot, err := l.Take(t.Context(), "bot", 2, period, now.Add(after))
			must(t, err)
			return wait, slot
		}
		_, first := take(0)
		_, second := take(10 * time.Millisecond)
		if first == "" || second == "" || first == second {
			t.Fatalf("two slots of two: got %q and %q", first, second)
		}
		if wait, slot := take(5 * time.Second); wait <= 0 || wait > period || slot != "" {
			t.Errorf("while both are being sent, however long: got wait %v, slot %q", wait, slot)
		}
		must(t, l.Release(t.Context(), "bot", first, period, now.Add(200*time.Millisecond)))
		if wait, slot := take(900 * time.Millisecond); wait != 300*time.Millisecond || slot != "" {
			t.Errorf("before a period after the response: got wait %v, slot %q, want 300ms", wait, slot)
		}
		if wait, slot := take(1200 * time.Millisecond); wait != 0 || slot == "" {
			t.Errorf("a period after the response: got wait %v, slot %q, want a slot", wait, slot)
		}
		if wait, slot := take(62 * time.Second); wait != 0 || slot == "" {
			t.Errorf("a slot whose process died: got wait %v, want it free a minute later", wait)
		}
		if wait, _, err := l.Take(t.Context(), "other", 1, period, now); err != nil || wait != 0 {
			t.Errorf("another limit: got wait %v, %v", wait, err)
		}
	})
}

// The window is strict to the last microsecond: a place is never free before a
// whole period has passed since the response.
func TestLimiterFreesNothingEarly(t *testing.T) {
	const period = time.Second
	eachServer(t, func(t *testing.T, srv *server) {
		l := rdb.New(srv.client).Limiter()
		answered := time.Now().Truncate(time.Millisecond).Add(999 * time.Microsecond)
		_, slot, err := l.Take(t.Context(), "bot", 1, period, answered)
		must(t, err)
		must(t, l.Release(t.Context(), "bot", slot, period, answered))
		early := answered.Add(period - 900*time.Microsecond)
		if wait, _, err := l.Take(t.Context(), "bot", 1, period, early); err != nil || wait <= 0 {
			t.Errorf("%v after the response: wait %v, %v; want a wait", early.Sub(answered), wait, err)
		}
		if wait, _, err := l.Take(t.Context(), "bot", 1, period, answered.Add(period+time.Millisecond)); err != nil ||
			wait != 0 {
			t.Errorf("a millisecond after the period: wait %v, %v; want none", wait, err)
		}
	})
}

func TestLimiterPause(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		now := time.Now().Truncate(time.Millisecond)
		store := rdb.New(srv.client)
		store.Now = func() time.Time { return now }
		l := store.Limiter()
		must(t, l.Pause(t.Context(), "bot", now.Add(30*time.Second)))
		must(t, l.Pause(t.Context(), "bot", now.Add(5*time.Second))) // does not shorten it
		if wait, slot, err := l.Take(t.Context(), "bot", 2, time.Second, now); err != nil || wait != 30*time.Second ||
			slot != "" {
			t.Errorf("during a pause: got wait %v, slot %q, %v; want 30s", wait, slot, err)
		}
		if wait, slot, err := l.Take(t.Context(), "bot", 2, time.Second, now.Add(30*time.Second)); err != nil || wait != 0 ||
			slot == "" {
			t.Errorf("after it: got wait %v, slot %q, %v; want a slot", wait, slot, err)
		}
	})
}
