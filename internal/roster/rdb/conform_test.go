package rdb_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func TestCreateAndLoad(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		if trip.Version != 1 {
			t.Errorf("version after creating: got %d, want 1", trip.Version)
		}
		got := load(t, s, trip.ID, "").Trip
		want := newTrip(trip.ID)
		want.Version = 1
		if d := diff(want, got); d != "" {
			t.Errorf("loaded trip (-want +got):\n%s", d)
		}
		if _, err := s.Commit(t.Context(), commitOf(newTrip(trip.ID))); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("creating it again: got %v, want a conflict", err)
		}
		if _, err := s.Load(t.Context(), "zzzzzzzzzz", ""); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("unknown trip: got %v, want not found", err)
		}
		if err := s.Ping(t.Context()); err != nil {
			t.Errorf("ping: %v", err)
		}
	})
}

func TestConflictWritesNothing(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		create(t, s, "aaaaaaaaaa", wake(departs))
		old := load(t, s, "aaaaaaaaaa", "").Trip
		mustCommit(t, s, load(t, s, "aaaaaaaaaa", "").Trip, wake(departs))
		before := dump(t, srv.client)

		refused, err := s.Commit(t.Context(), commitOf(old, rename("Sunday"), source("tg:7"), session("p2", `{"state":"x"}`),
			wake(departs.Add(time.Hour)),
			out(envelope("a", "p2", roster.LevelVerdict)),
			func(c *roster.Commit) { c.Events = []json.RawMessage{[]byte(`{}`)} }))
		if !errors.Is(err, roster.ErrConflict) {
			t.Fatalf("stale commit: got %v, want a conflict", err)
		}
		if refused != nil {
			t.Errorf("a refused commit returned a trip of version %d", refused.Version)
		}
		if d := cmp.Diff(before, dump(t, srv.client)); d != "" {
			t.Errorf("a refused commit wrote something (-before +after):\n%s", d)
		}
	})
}

func TestOneSourceIsHandledOnce(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		trip = mustCommit(t, s, trip, source("tg:7"))
		if !load(t, s, trip.ID, "tg:7").Seen {
			t.Error("source tg:7 was committed: got not seen, want seen")
		}
		if l := load(t, s, trip.ID, "tg:8"); l.Seen {
			t.Error("source tg:8 was not committed: got seen, want not seen")
		}
		wantDuplicate(t, s, "tg:7", commitOf(trip, source("tg:7")))
		wantDuplicate(t, s, "tg:7", commitOf(newTrip(trip.ID), source("tg:7"))) // loading again would not help
		trip = mustCommit(t, s, trip, source("tg:8", "tg:9"))
		for _, id := range []string{"tg:8", "tg:9"} {
			if !load(t, s, trip.ID, id).Seen {
				t.Errorf("source %s was committed with another: got not seen, want seen", id)
			}
		}
		wantDuplicate(t, s, "tg:9", commitOf(trip, source("tg:10", "tg:9")))
		if load(t, s, trip.ID, "tg:10").Seen {
			t.Error("the refused commit's other source: got seen, want not seen")
		}
		s.Now = func() time.Time { return time.Now().Add(49 * time.Hour) }
		trip = mustCommit(t, s, trip)
		if load(t, s, trip.ID, "tg:7").Seen {
			t.Error("a source id is kept 48 hours: got seen after 49")
		}
	})
}

// wantDuplicate wants a commit refused for one of its sources, and told which.
func wantDuplicate(t *testing.T, s *rdb.Store, source string, c roster.Commit) {
	t.Helper()
	_, err := s.Commit(t.Context(), c)
	var duplicate roster.DuplicateError
	if !errors.Is(err, roster.ErrDuplicate) || !errors.As(err, &duplicate) || duplicate.Source != source {
		t.Errorf("sources %q again: got %v, want %q a duplicate", c.Sources, err, source)
	}
}

func TestTokenIsAppliedOnce(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		again := commitOf(trip, rename("Sunday"), token("tok"), source("tg:7"), out(envelope("a", "p2", roster.LevelVerdict)))
		first, err := s.Commit(t.Context(), again)
		must(t, err)
		repeated, err := s.Commit(t.Context(), again)
		must(t, err)
		if d := cmp.Diff(first, repeated, cmpopts.IgnoreUnexported(roster.Trip{})); d != "" || repeated.Version != 2 {
			t.Errorf("version %d after the repeated write, want 2 (-first +repeated):\n%s", repeated.Version, d)
		}
		mustCommit(t, s, repeated, token("another"))
		_, err = s.Commit(t.Context(), again)
		must(t, err)
		if got := load(t, s, trip.ID, "").Trip.Version; got != 3 {
			t.Errorf("version: got %d, want 3 (create, tok, another)", got)
		}
		if got, _ := s.Outbox().Depth(t.Context()); got != 1 {
			t.Errorf("messages waiting: got %d, want 1", got)
		}
	})
}

// A repeated write recognises itself among the trip's last four; one that comes
// later is out of date, and changes nothing either.
func TestTokensOfTheLastCommits(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		again := commitOf(trip, token("tok"))
		trip = mustCommit(t, s, trip, token("tok"))
		for i := range 4 {
			if _, err := s.Commit(t.Context(), again); err != nil {
				t.Errorf("after %d more commits: got %v, want it recognised", i, err)
			}
			trip = mustCommit(t, s, trip)
		}
		if _, err := s.Commit(t.Context(), again); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("after four more: got %v, want a conflict", err)
		}
		if got := load(t, s, trip.ID, "").Trip.Version; got != 6 {
			t.Errorf("version %d, want 6", got)
		}
	})
}

// Ids of events are forgotten after their time, those of less are not; none is
// taken for another that it begins or ends like.
func TestSourcesAreForgotten(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, now := rdb.New(srv.client), time.Now()
		s.Now = func() time.Time { return now }
		trip := create(t, s, "aaaaaaaaaa")
		trip = mustCommit(t, s, trip, source("tg:0ld"))
		now = now.Add(47 * time.Hour)
		trip = mustCommit(t, s, trip, source("tg:young", "tg:young:2 30000000", "30000000"))
		now = now.Add(2 * time.Hour)
		wantDuplicate(t, s, "tg:young", commitOf(trip, source("tg:young"))) // two hours later
		for _, other := range []string{"tg:", "tg:young:2", "young", "tg:youn", "0"} {
			if load(t, s, trip.ID, other).Seen {
				t.Errorf("%q was seen", other)
			}
		}
		for range 64 {
			trip = mustCommit(t, s, trip, source("tg:"+roster.NewToken()))
		}
		for _, id := range []string{"tg:young", "tg:young:2 30000000", "30000000"} {
			if !load(t, s, trip.ID, id).Seen {
				t.Errorf("%q is forgotten after two hours", id)
			}
		}
		for key, v := range dump(t, srv.client) {
			if strings.Contains(v, "tg:0ld") { // no token has a 0
				t.Errorf("%s still holds what is 49 hours old", key)
			}
			if strings.Contains(key, ":sources:") && srv.client.PTTL(t.Context(), key).Val() <= 0 {
				t.Errorf("%s stays for ever", key)
			}
		}
		trip = mustCommit(t, s, trip, source("tg:0ld")) // as if it were new
		wantDuplicate(t, s, "tg:0ld", commitOf(trip, source("tg:0ld")))
	})
}

// Who floods a trip within those hours makes nobody's commit slow: of very many
// ids the newest thousands are kept.
func TestSourcesAreBounded(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		var last []string
		for range 128 {
			last = nil
			for range 64 {
				last = append(last, "tg:"+roster.NewToken())
			}
			trip = mustCommit(t, s, trip, source(last...))
		}
		for key, v := range dump(t, srv.client) {
			if strings.Contains(key, ":sources:") && len(v) > 200_000 {
				t.Errorf("%s holds %d bytes", key, len(v))
			}
		}
		if !load(t, s, trip.ID, last[0]).Seen {
			t.Error("an id of the last commit is forgotten")
		}
		wantDuplicate(t, s, last[63], commitOf(trip, source(last[63])))
	})
}

func TestCommitRefusesWhatItCannotRecognise(t *testing.T) {
	s := rdb.New(embedded(t).client)
	if _, err := s.Commit(t.Context(), roster.Commit{Trip: newTrip("aaaaaaaaaa")}); err == nil {
		t.Error("a commit without a token: got no error")
	}
	if _, err := s.Commit(t.Context(), roster.Commit{Token: "t"}); err == nil {
		t.Error("a commit without a trip: got no error")
	}
	if _, err := s.Commit(t.Context(), commitOf(newTrip("aaaaaaaaaa"), token("two words"))); err == nil {
		t.Error("a token of two words: got no error")
	}
	for _, id := range []string{"", "two\nlines", "two\rlines"} {
		if _, err := s.Commit(t.Context(), commitOf(newTrip("aaaaaaaaaa"), source(id))); err == nil {
			t.Errorf("the id %q of an event: got no error", id)
		}
	}
}

func TestSessions(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa", session("p1", `{"state":"one"}`), session("p2", `{"state":"two"}`))
		if got := string(load(t, s, trip.ID, "").Sessions["p2"]); got != `{"state":"two"}` {
			t.Errorf("session of p2: got %q", got)
		}
		trip = mustCommit(t, s, trip, session("p2", ""))
		if got := load(t, s, trip.ID, "").Sessions["p2"]; got != nil {
			t.Errorf("removed session: got %q, want none", got)
		}
		if got := string(load(t, s, trip.ID, "").Sessions["p1"]); got != `{"state":"one"}` {
			t.Errorf("session of p1: got %q, want it unchanged", got)
		}
	})
}

func TestLogKeepsEveryAct(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		trip = mustCommit(t, s, trip, draft(func(d *roster.Draft) {
			d.Record("c3", roster.Reading{Percent: 32.1, At: departs, By: "p2"}, departs)
			d.CardSeen("p2", "p1", departs)
		}))
		mustCommit(t, s, trip, draft(func(d *roster.Draft) { d.OpenBoat(1, "p1", departs) }))
		acts, err := s.Log(t.Context(), trip.ID)
		if err != nil {
			t.Fatal(err)
		}
		var verbs []string
		for _, a := range acts {
			verbs = append(verbs, a.Verb)
		}
		if want := []string{roster.VerbReading, roster.VerbCard, roster.VerbBoat}; !slices.Equal(verbs, want) {
			t.Errorf("log: got %v, want %v", verbs, want)
		}
		if acts[0].By != "p2" || acts[0].Detail["percent"] != "32.1" || !acts[0].At.Equal(departs) {
			t.Errorf("first act came back as %+v", acts[0])
		}
	})
}

func TestEventsKeepTheirOrder(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		for _, e := range []string{`{"n":1}`, `{"n":2}`} {
			trip = mustCommit(t, s, trip, func(c *roster.Commit) { c.Events = []json.RawMessage{json.RawMessage(e)} })
		}
		got, err := s.Events(t.Context(), trip.ID)
		if err != nil || len(got) != 2 || string(got[0]) != `{"n":1}` || string(got[1]) != `{"n":2}` {
			t.Errorf("events: got %s, %v", got, err)
		}
	})
}

func TestDueAndList(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		now := departs
		for i, id := range []roster.TripID{"aaaaaaaaaa", "bbbbbbbbbb", "cccccccccc", "dddddddddd", "eeeeeeeeee"} {
			trip := newTrip(id)
			trip.Departs = departs.Add(time.Duration(-i) * time.Hour)
			mustCommit(t, s, trip, wake(now.Add(time.Duration(-i)*time.Minute)))
		}
		later := create(t, s, "ffffffffff", wake(now.Add(time.Minute)))
		other := newTrip("gggggggggg")
		other.Shop = "anothershop"
		mustCommit(t, s, other)

		due, err := s.Due(t.Context(), now, 3)
		if want := []roster.TripID{"eeeeeeeeee", "dddddddddd", "cccccccccc"}; err != nil || !slices.Equal(due, want) {
			t.Errorf("due: got %v, %v, want %v", due, err, want)
		}
		mustCommit(t, s, later) // no wake-up any more
		due, err = s.Due(t.Context(), now.Add(time.Hour), 100)
		if err != nil || len(due) != 5 || slices.Contains(due, later.ID) {
			t.Errorf("due after a wake-up was removed: got %v, %v", due, err)
		}

		ids, err := s.List(t.Context(), "bluebarrel", departs.Add(-3*time.Hour), departs)
		if want := []roster.TripID{"dddddddddd", "cccccccccc", "bbbbbbbbbb"}; err != nil || !slices.Equal(ids, want) {
			t.Errorf("list [from, to): got %v, %v, want %v", ids, err, want)
		}
		moved := load(t, s, "eeeeeeeeee", "").Trip
		mustCommit(t, s, moved, draft(func(d *roster.Draft) { d.SetDeparture(departs.Add(24*time.Hour), "", now) }))
		ids, err = s.List(t.Context(), "bluebarrel", departs.Add(time.Hour), time.Time{})
		if want := []roster.TripID{"eeeeeeeeee"}; err != nil || !slices.Equal(ids, want) {
			t.Errorf("list after a departure moved: got %v, %v, want %v", ids, err, want)
		}
	})
}

func TestConcurrentCommitsLoseNothing(t *testing.T) {
	const workers, each = 8, 10
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		create(t, s, "aaaaaaaaaa")
		var wg sync.WaitGroup
		for range workers {
			wg.Go(func() {
				for range each {
					increment(t, s, "aaaaaaaaaa")
				}
			})
		}
		wg.Wait()
		got := load(t, s, "aaaaaaaaaa", "").Trip
		if want := 3 + workers*each; got.Next != want || got.Version != int64(1+workers*each) {
			t.Errorf("got counter %d and version %d, want %d and %d", got.Next, got.Version, want, 1+workers*each)
		}
	})
}

// increment is what the door does: load, change, commit, again on a conflict.
func increment(t *testing.T, s *rdb.Store, id roster.TripID) {
	for {
		l, err := s.Load(t.Context(), id, "")
		if err != nil {
			t.Errorf("load: %v", err)
			return
		}
		_, err = s.Commit(t.Context(), commitOf(l.Trip, draft(func(d *roster.Draft) { d.Next++ })))
		if errors.Is(err, roster.ErrConflict) {
			continue
		}
		if err != nil {
			t.Errorf("commit: %v", err)
		}
		return
	}
}

func TestScriptFlush(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p2", roster.LevelVerdict)))
		flush := func() {
			t.Helper()
			if err := srv.client.ScriptFlush(t.Context()).Err(); err != nil {
				t.Fatal(err)
			}
		}
		flush()
		mustCommit(t, s, trip)
		flush()
		got, err := s.Outbox().Claim(t.Context(), "w", departs, time.Minute, 5, nil)
		if err != nil || len(got) != 1 {
			t.Fatalf("claim after SCRIPT FLUSH: got %d, %v, want 1", len(got), err)
		}
		flush()
		if err := s.Outbox().Sent(t.Context(), got[0]); err != nil {
			t.Errorf("sent after SCRIPT FLUSH: %v", err)
		}
	})
}
