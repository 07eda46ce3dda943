package rdb_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func events(from, to int) func(*roster.Commit) {
	return func(c *roster.Commit) {
		for i := from; i <= to; i++ {
			c.Events = append(c.Events, json.RawMessage(fmt.Sprintf(`{"n":%d}`, i)))
		}
	}
}

// take leases what is due, as "trip number attempts event".
func take(t *testing.T, n *rdb.News, token string, now time.Time) ([]roster.News, []string) {
	t.Helper()
	got, err := n.TakeNews(t.Context(), token, now, time.Minute, 10)
	if err != nil {
		t.Fatalf("take: %v", err)
	}
	var said []string
	for _, g := range got {
		said = append(said, fmt.Sprintf("%s %d %d %s", g.Trip, g.Number, g.Attempts, g.Event))
	}
	return got, said
}

func wantTaken(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

func TestNews(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		now := time.Now().Truncate(time.Millisecond)
		s.Now = func() time.Time { return now }
		n := s.News()
		trip := create(t, s, "aaaaaaaaaa")
		_, said := take(t, n, "t0", now)
		wantTaken(t, "without events", said)
		trip = mustCommit(t, s, trip, events(1, 2))

		got, said := take(t, n, "t1", now)
		wantTaken(t, "the first", said, `aaaaaaaaaa 1 0 {"n":1}`)
		if got[0].Shop != "bluebarrel" {
			t.Errorf("shop: got %s", got[0].Shop)
		}
		_, said = take(t, n, "t2", now)
		wantTaken(t, "while it is leased", said)
		trip = mustCommit(t, s, trip, events(3, 3))
		_, said = take(t, n, "t2", now)
		wantTaken(t, "while it is leased, with another event", said)

		must(t, n.EndNews(t.Context(), got[0], roster.NewsFailed, now.Add(time.Hour)))
		_, said = take(t, n, "t3", now.Add(59*time.Minute))
		wantTaken(t, "before it is due again", said)
		got, said = take(t, n, "t4", now.Add(time.Hour))
		wantTaken(t, "when it is due again", said, `aaaaaaaaaa 1 1 {"n":1}`)
		if !got[0].Since.Equal(now) {
			t.Errorf("failing since: got %v, want %v", got[0].Since, now)
		}
		stale := got[0]
		now = now.Add(62 * time.Minute)
		got, said = take(t, n, "t5", now)
		wantTaken(t, "after a lease ran out", said, `aaaaaaaaaa 1 1 {"n":1}`)
		if err := n.EndNews(t.Context(), stale, roster.NewsTold, time.Time{}); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("end by a stale worker: got %v, want a conflict", err)
		}
		must(t, n.EndNews(t.Context(), got[0], roster.NewsTold, time.Time{}))
		if w, err := n.NewsWaiting(t.Context(), []roster.TripID{"aaaaaaaaaa", "zzzzzzzzzz"}); err != nil || w != 2 {
			t.Errorf("waiting: got %d, %v, want 2", w, err)
		}
		got, said = take(t, n, "t6", now)
		wantTaken(t, "the second", said, `aaaaaaaaaa 2 0 {"n":2}`)
		must(t, n.EndNews(t.Context(), got[0], roster.NewsGivenUp, time.Time{}))
		got, said = take(t, n, "t7", now)
		wantTaken(t, "the third", said, `aaaaaaaaaa 3 0 {"n":3}`)
		must(t, n.EndNews(t.Context(), got[0], roster.NewsTold, time.Time{}))
		_, said = take(t, n, "t8", now)
		wantTaken(t, "at the end", said)

		left, err := n.WakeNews(t.Context(), "bluebarrel", "aaaaaaaaaa", 2, true, now)
		if err != nil || left != 2 {
			t.Errorf("rewound to the second: got %d, %v, want 2 left", left, err)
		}
		if _, err := n.WakeNews(t.Context(), "bluebarrel", "aaaaaaaaaa", 4, true, now); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("rewound to one that never was: got %v", err)
		}
		got, said = take(t, n, "t9", now)
		wantTaken(t, "rewound", said, `aaaaaaaaaa 2 0 {"n":2}`)
		// Rewound while it is being told: nothing of the rewinding is lost.
		_, err = n.WakeNews(t.Context(), "bluebarrel", "aaaaaaaaaa", 1, true, now)
		must(t, err)
		_, said = take(t, n, "t10", now)
		wantTaken(t, "rewound under a lease", said)
		must(t, n.EndNews(t.Context(), got[0], roster.NewsTold, time.Time{}))
		got, said = take(t, n, "t11", now)
		wantTaken(t, "after that", said, `aaaaaaaaaa 1 0 {"n":1}`)
		must(t, n.EndNews(t.Context(), got[0], roster.NewsUnheard, time.Time{}))
		_, said = take(t, n, "t12", now)
		wantTaken(t, "when nobody listens", said)
		if w, _ := n.NewsWaiting(t.Context(), []roster.TripID{"aaaaaaaaaa"}); w != 0 {
			t.Errorf("waiting when nobody listens: got %d", w)
		}
		if kept, err := s.Events(t.Context(), "aaaaaaaaaa"); err != nil || len(kept) != 0 {
			t.Errorf("what nobody listened to: got %s, %v, want none", kept, err)
		}
		if _, err := n.WakeNews(t.Context(), "bluebarrel", "aaaaaaaaaa", 3, true, now); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("rewound to what nobody listened to: got %v", err)
		}
		mustCommit(t, s, trip, events(4, 4))
		if w, _ := n.NewsWaiting(t.Context(), []roster.TripID{"aaaaaaaaaa"}); w != 1 {
			t.Errorf("waiting after that: got %d, want 1", w)
		}
		got, said = take(t, n, "t13", now)
		wantTaken(t, "news after that", said, `aaaaaaaaaa 4 0 {"n":4}`)
		must(t, n.EndNews(t.Context(), got[0], roster.NewsParked, time.Time{}))
		_, said = take(t, n, "t14", now)
		wantTaken(t, "parked", said)
		_, err = n.WakeNews(t.Context(), "bluebarrel", "aaaaaaaaaa", 0, true, now)
		must(t, err)
		_, said = take(t, n, "t15", now)
		wantTaken(t, "woken", said, `aaaaaaaaaa 4 0 {"n":4}`)
	})
}

func TestNewsOfManyTripsTheLongestDueFirst(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		now := time.Now().Truncate(time.Millisecond)
		s.Now = func() time.Time { return now }
		var want []string
		for i := range 12 {
			id := roster.TripID(fmt.Sprintf("aaaaaaaaa%c", 'a'+i))
			create(t, s, id, events(1, 1))
			if i < 5 {
				want = append(want, string(id))
			}
			now = now.Add(time.Second)
		}
		got, err := s.News().TakeNews(t.Context(), "t", now, time.Minute, 5)
		must(t, err)
		found := map[string]bool{}
		for _, g := range got {
			found[string(g.Trip)] = true
		}
		for _, id := range want {
			if !found[id] {
				t.Errorf("%s was not among the first five: %v", id, found)
			}
		}
		if len(got) != 5 {
			t.Errorf("got %d trips, want 5", len(got))
		}
	})
}

func TestNewsExpiresWithItsTrip(t *testing.T) {
	srv := embedded(t)
	s := rdb.New(srv.client)
	now := time.Now()
	s.Now = func() time.Time { return now }
	create(t, s, "aaaaaaaaaa", events(1, 2), expire(now.Add(time.Hour)))
	now = now.Add(2 * time.Hour)
	srv.forward(2 * time.Hour)
	_, err := s.Due(t.Context(), now, 1) // sweeps
	must(t, err)
	_, said := take(t, s.News(), "t", now)
	wantTaken(t, "of an erased trip", said)
}

func TestEndpoints(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		n := s.News()
		now := time.Now().UTC().Truncate(time.Millisecond)
		if _, err := n.Endpoint(t.Context(), "one"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("before: got %v", err)
		}
		e := roster.Endpoint{ID: "e1", URL: "https://desk.example/", Secret: []byte{1, 2}, Created: now}
		must(t, n.PutEndpoint(t.Context(), "one", e))
		report := func(id, reason string, patience time.Duration, at time.Time) (time.Time, bool) {
			t.Helper()
			failing, disabled, err := n.Report(t.Context(), "one", id, reason, patience, at)
			must(t, err)
			return failing, disabled
		}
		if failing, off := report("e1", "answered 500", time.Hour, now); !failing.IsZero() || off {
			t.Errorf("first failure: got %v, %v", failing, off)
		}
		if failing, off := report("e1", "", time.Hour, now.Add(time.Minute)); !failing.Equal(now) || off {
			t.Errorf("success after it: got %v, %v", failing, off)
		}
		report("e1", "answered 502", time.Hour, now.Add(2*time.Minute))
		if _, off := report("e1", "answered 503", time.Hour, now.Add(61*time.Minute)); off {
			t.Error("disabled within its patience")
		}
		if _, off := report("e1", "answered 503", time.Hour, now.Add(62*time.Minute)); !off {
			t.Error("not disabled after its patience")
		}
		if _, off := report("e1", "answered 504", time.Hour, now.Add(63*time.Minute)); off {
			t.Error("disabled twice")
		}
		if _, off := report("e0", "answered 504", 0, now); off {
			t.Error("a report about another registration disabled this one")
		}
		want := e
		want.Failing, want.Succeeded, want.Disabled, want.Reason = now.Add(2*time.Minute), now.Add(time.Minute),
			now.Add(62*time.Minute), "answered 504"
		got, err := n.Endpoint(t.Context(), "one")
		must(t, err)
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("endpoint (-want +got):\n%s", d)
		}
		if _, err := n.Endpoint(t.Context(), "two"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("another shop's: got %v", err)
		}
		e.ID = "e2"
		must(t, n.PutEndpoint(t.Context(), "one", e))
		if got, _ := n.Endpoint(t.Context(), "one"); !got.Disabled.IsZero() || got.Reason != "" || got.ID != "e2" {
			t.Errorf("registered again: got %+v, want a clean history", got)
		}
		must(t, n.DropEndpoint(t.Context(), "one"))
		must(t, n.DropEndpoint(t.Context(), "one"))
		if _, err := n.Endpoint(t.Context(), "one"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("dropped: got %v", err)
		}
	})
}

func TestDeliveryLog(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		n := rdb.New(srv.client).News()
		now := time.Now().UTC().Truncate(time.Millisecond)
		for i := range 1010 {
			must(t, n.LogDelivery(t.Context(), "one",
				roster.Delivery{Event: fmt.Sprintf("a_%d", i), At: now.Add(time.Duration(i) * time.Second), Result: "delivered"}))
		}
		all, err := n.Deliveries(t.Context(), "one", time.Time{}, 5000)
		if err != nil || len(all) != 1000 || all[0].Event != "a_1009" || all[999].Event != "a_10" {
			t.Errorf("kept: got %d lines, %v", len(all), err)
		}
		some, err := n.Deliveries(t.Context(), "one", now.Add(500*time.Second), 2)
		if err != nil || len(some) != 2 || some[0].Event != "a_500" {
			t.Errorf("before a time: got %v, %v", some, err)
		}
		if other, err := n.Deliveries(t.Context(), "two", time.Time{}, 5); err != nil || len(other) != 0 {
			t.Errorf("another shop's: got %v, %v", other, err)
		}
	})
}
