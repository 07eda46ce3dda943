package rdb_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// departs lies ahead of the servers' own clocks, so that nothing expires early.
var departs = time.Now().Add(48 * time.Hour).UTC().Truncate(time.Second)

func newTrip(id roster.TripID) *roster.Trip {
	t := roster.NewTrip(id, "bluebarrel")
	*t.Plan = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: departs,
		Policy: gas.DefaultPolicy(gas.Metres), Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30)}},
		Analysers: []roster.Analyser{{Name: "north"}}}
	t.People = []*roster.Person{{ID: "p1", Name: "Inês", Leader: true}, {ID: "p2", Name: "Tomasz",
		Cylinders: []*roster.Cylinder{{ID: "c3", Asked: 32, Dive: 1}}}}
	t.Next = 3
	return t
}

// commitOf is a commit of a trip: as it is, unless more says what changes.
func commitOf(t *roster.Trip, more ...func(*roster.Commit)) roster.Commit {
	c := roster.Commit{Trip: t, Token: roster.NewToken(), Expire: t.Departs.Add(30 * 24 * time.Hour)}
	if t.Version > 0 {
		c.Was = t
	}
	for _, m := range more {
		m(&c)
	}
	return c
}

// draft changes the trip of a commit, as an event does.
func draft(change func(*roster.Draft)) func(*roster.Commit) {
	return func(c *roster.Commit) {
		d := roster.Change(c.Trip)
		change(d)
		c.Trip, c.Acts = d.Done(), append(c.Acts, d.Acts...)
	}
}

func rename(to string) func(*roster.Commit) {
	return draft(func(d *roster.Draft) { d.Rename(to, "p1", departs) })
}

// diff is how two trips differ, but for what the store knows of either.
func diff(want, got *roster.Trip) string {
	return cmp.Diff(want, got, cmpopts.IgnoreUnexported(roster.Trip{}), cmpopts.IgnoreFields(roster.Trip{}, "Stored"))
}

func token(s string) func(*roster.Commit) { return func(c *roster.Commit) { c.Token = s } }
func source(s ...string) func(*roster.Commit) {
	return func(c *roster.Commit) { c.Sources = append(c.Sources, s...) }
}
func wake(t time.Time) func(*roster.Commit) {
	return func(c *roster.Commit) { c.Wake = t }
}
func expire(t time.Time) func(*roster.Commit) {
	return func(c *roster.Commit) { c.Expire = t }
}
func session(p roster.PersonID, s string) func(*roster.Commit) {
	return func(c *roster.Commit) {
		if c.Sessions == nil {
			c.Sessions = map[roster.PersonID]json.RawMessage{}
		}
		c.Sessions[p] = nil
		if s != "" {
			c.Sessions[p] = json.RawMessage(s)
		}
	}
}
func out(e ...roster.Envelope) func(*roster.Commit) {
	return func(c *roster.Commit) { c.Out = append(c.Out, e...) }
}

func create(t testing.TB, s *rdb.Store, id roster.TripID, more ...func(*roster.Commit)) *roster.Trip {
	t.Helper()
	return mustCommit(t, s, newTrip(id), more...)
}

// mustCommit returns the trip as it is stored from then on.
func mustCommit(t testing.TB, s *rdb.Store, trip *roster.Trip, more ...func(*roster.Commit)) *roster.Trip {
	t.Helper()
	stored, err := s.Commit(t.Context(), commitOf(trip, more...))
	if err != nil {
		t.Fatalf("commit: %v", err)
	}
	return stored
}

func load(t testing.TB, s *rdb.Store, id roster.TripID, source string) roster.Loaded {
	t.Helper()
	l, err := s.Load(t.Context(), id, source)
	if err != nil {
		t.Fatalf("load: %v", err)
	}
	return l
}

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

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// dump is everything a server holds, as text by key.
func dump(t testing.TB, c redis.UniversalClient) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, key := range allKeys(t, c) {
		kind, err := c.Type(t.Context(), key).Result()
		must(t, err)
		var v any
		switch kind {
		case "hash":
			v = c.HGetAll(t.Context(), key).Val()
		case "zset":
			v = c.ZRangeWithScores(t.Context(), key, 0, -1).Val()
		case "list":
			v = c.LRange(t.Context(), key, 0, -1).Val()
		default:
			v = c.Get(t.Context(), key).Val()
		}
		all[key] = fmt.Sprintf("%v", v)
	}
	return all
}
