package rdb_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// Whatever changes, and whichever of two processes writes, what is loaded is
// what was committed, and nobody who is gone stays behind.
func TestOnlyWhatChangedIsWritten(t *testing.T) {
	srv := embedded(t)
	rapid.Check(t, func(r *rapid.T) {
		must(t, srv.client.FlushAll(t.Context()).Err())
		processes := []*rdb.Store{rdb.New(srv.client), rdb.New(srv.client)}
		kept := boatful(4)
		mustCommit(t, processes[0], kept)
		for i := range rapid.IntRange(1, 12).Draw(r, "events") {
			s := processes[rapid.IntRange(0, 1).Draw(r, "process")]
			if kept.Version != load(t, s, kept.ID, "").Trip.Version || rapid.Bool().Draw(r, "load") {
				kept = load(t, s, kept.ID, "").Trip
			}
			change(r, kept, i)
			want := clone(t, kept)
			want.Version++
			mustCommit(t, s, kept)
			if d := cmp.Diff(want, load(t, processes[1], kept.ID, "").Trip); d != "" {
				r.Fatalf("event %d (-committed +loaded):\n%s", i, d)
			}
		}
		for _, field := range srv.client.HKeys(t.Context(), rdb.TripKey(kept.ID)).Val() {
			if id, ok := strings.CutPrefix(field, "person:"); ok && kept.Person(roster.PersonID(id)) == nil {
				r.Errorf("%s is still stored", field)
			}
		}
	})
}

// change does one thing to a trip, as an event would.
func change(r *rapid.T, t *roster.Trip, i int) {
	who := rapid.IntRange(0, len(t.People)-1).Draw(r, "who")
	switch p := t.People[who]; rapid.IntRange(0, 5).Draw(r, "what") {
	case 0:
		p.Name = fmt.Sprint("renamed ", i)
	case 1:
		if len(p.Cylinders) > 0 {
			t.Record(p.Cylinders[0].ID, roster.Reading{Percent: 31.9, At: departs, By: p.ID, Ref: fmt.Sprint(i)}, departs)
		}
	case 2:
		t.AddPerson(&roster.Person{Name: fmt.Sprint("new ", i)}, "", departs)
	case 3:
		if len(t.People) > 1 {
			t.People = slices.Delete(t.People, who, who+1)
		}
	case 4:
		slices.Reverse(t.People)
	case 5:
		t.Name = fmt.Sprint("trip ", i)
	}
	t.Acts = nil
}

func clone(t testing.TB, trip *roster.Trip) *roster.Trip {
	t.Helper()
	b, err := json.Marshal(trip)
	must(t, err)
	c := new(roster.Trip)
	must(t, json.Unmarshal(b, c))
	c.Schema = roster.SchemaVersion
	return c
}

// Form 1 had everybody in one document: it is read, and written anew by the
// next commit.
func TestFormOneIsRead(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		old := boatful(3)
		key := rdb.TripKey(old.ID)
		old.Schema, old.Version = 1, 7
		b, err := json.Marshal(old)
		must(t, err)
		must(t, srv.client.HSet(t.Context(), key, "v", 7, "data", b).Err())

		got := load(t, s, old.ID, "").Trip
		if d := cmp.Diff(old, got); d != "" {
			t.Fatalf("form 1 as loaded (-want +got):\n%s", d)
		}
		mustCommit(t, s, got)
		want := clone(t, old)
		want.Version = 8
		if d := cmp.Diff(want, load(t, s, old.ID, "").Trip); d != "" {
			t.Errorf("after a commit (-want +got):\n%s", d)
		}
		if data := srv.client.HGet(t.Context(), key, "data").Val(); strings.Contains(data, "diver 1") {
			t.Errorf("the head still holds people: %s", data)
		}
	})
}

// What grows large in a head, as what was reminded, is packed, and comes back.
func TestLargePartsArePacked(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := newTrip("aaaaaaaaaa")
		trip.Reminded = map[string]time.Time{}
		for i := range 100 {
			trip.Reminded[fmt.Sprintf("evening:p%d:2027-05-15T08:30Z", i)] = departs
		}
		mustCommit(t, s, trip)
		if n := srv.client.HStrLen(t.Context(), rdb.TripKey(trip.ID), "reminded").Val(); n == 0 || n > 2000 {
			t.Errorf("a hundred reminders are stored in %d bytes", n)
		}
		if d := cmp.Diff(trip.Reminded, load(t, s, trip.ID, "").Trip.Reminded); d != "" {
			t.Errorf("(-committed +loaded):\n%s", d)
		}
		for _, part := range []string{"plan", "reminded"} { // one that is missing is no empty one
			must(t, srv.client.HDel(t.Context(), rdb.TripKey(trip.ID), part).Err())
			if _, err := s.Load(t.Context(), trip.ID, ""); err == nil || errors.Is(err, roster.ErrNotFound) {
				t.Errorf("without its %s: got %v, want a fault", part, err)
			}
		}
	})
}

// A person who can't be read keeps the trip from being taken for a smaller one.
func TestMissingPersonIsAFault(t *testing.T) {
	srv := embedded(t)
	s := rdb.New(srv.client)
	trip := create(t, s, "aaaaaaaaaa")
	key := rdb.TripKey(trip.ID)
	must(t, srv.client.HDel(t.Context(), key, "person:"+string(trip.People[0].ID)).Err())
	if _, err := s.Load(t.Context(), trip.ID, ""); err == nil || errors.Is(err, roster.ErrNotFound) {
		t.Errorf("got %v, want a fault", err)
	}
}

// After a failover that lost a commit, what the other process wrote instead has
// the same number: nothing may be taken for written that isn't there.
func TestLostCommitIsNotBuiltOn(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		ours, theirs := rdb.New(srv.client), rdb.New(srv.client)
		trip := boatful(3)
		mustCommit(t, ours, trip)
		was := srv.client.HGetAll(t.Context(), rdb.TripKey(trip.ID)).Val()
		trip.People[0].Name = "Lost"
		mustCommit(t, ours, trip)
		must(t, srv.client.Del(t.Context(), rdb.TripKey(trip.ID)).Err())
		must(t, srv.client.HSet(t.Context(), rdb.TripKey(trip.ID), was).Err())

		other := load(t, theirs, trip.ID, "").Trip
		other.People[1].Name = "Kept"
		mustCommit(t, theirs, other)

		again := load(t, ours, trip.ID, "").Trip
		again.People[0].Name = "Lost"
		mustCommit(t, ours, again)
		got := load(t, ours, trip.ID, "").Trip
		if got.People[0].Name != "Lost" || got.People[1].Name != "Kept" {
			t.Errorf("stored %q and %q, want both changes", got.People[0].Name, got.People[1].Name)
		}
	})
}

// What a later commit makes anew expires with the trip, too.
func TestWhatComesLaterExpiresToo(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		ends := expire(time.Now().Add(time.Hour))
		trip := create(t, s, "aaaaaaaaaa", ends)
		trip.Acts = []roster.Act{{Verb: "limit"}}
		mustCommit(t, s, trip, ends, source("tg:7"), session("p2", `{}`), out(envelope("a", "p2", roster.Urgent)),
			func(c *roster.Commit) { c.Events = []json.RawMessage{[]byte(`{}`)} })
		var found []string
		for key := range dump(t, srv.client) {
			if strings.HasSuffix(key, ":"+string(trip.ID)) {
				found = append(found, strings.Split(key, ":")[2])
				if srv.client.PTTL(t.Context(), key).Val() <= 0 {
					t.Errorf("%s stays for ever", key)
				}
			}
		}
		slices.Sort(found)
		if want := []string{"events", "log", "out", "sources", "trip"}; !slices.Equal(found, want) {
			t.Errorf("keys of the trip: %v, want %v", found, want)
		}
	})
}
