package rdb_test

import (
	"encoding/json"
	"fmt"
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
