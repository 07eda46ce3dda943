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
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/redis/go-redis/v9"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// Whatever changes, and whichever of two processes writes, what is loaded is
// what was committed, and nobody who is gone stays behind.
func TestWhatIsCommittedIsLoaded(t *testing.T) {
	srv := embedded(t)
	rapid.Check(t, func(r *rapid.T) {
		must(t, srv.client.FlushAll(t.Context()).Err())
		processes := []*rdb.Store{rdb.New(srv.client), rdb.New(srv.client)}
		kept := mustCommit(t, processes[0], boatful(4))
		for i := range rapid.IntRange(1, 12).Draw(r, "events") {
			s := processes[rapid.IntRange(0, 1).Draw(r, "process")]
			if rapid.Bool().Draw(r, "load") {
				kept = load(t, s, kept.ID, "").Trip
			}
			kept = mustCommit(t, s, kept, draft(func(d *roster.Draft) { anyChange(r, d, i) }))
			if d := diff(clone(t, kept), load(t, processes[1], kept.ID, "").Trip); d != "" {
				r.Fatalf("event %d (-committed +loaded):\n%s", i, d)
			}
		}
		for _, field := range srv.client.HKeys(t.Context(), rdb.TripKey(kept.ID)).Val() {
			kind, id, _ := strings.Cut(field, ":")
			_, c := kept.Cylinder(roster.CylinderID(id))
			if kind == "person" && kept.Person(roster.PersonID(id)) == nil || kind == "cylinder" && c == nil {
				r.Errorf("%s is still stored", field)
			}
		}
	})
}

// anyChange does one thing to a trip, as an event would.
func anyChange(r *rapid.T, d *roster.Draft, i int) {
	who := rapid.IntRange(0, len(d.People)-1).Draw(r, "who")
	switch p := d.People[who]; rapid.IntRange(0, 10).Draw(r, "what") {
	case 0:
		d.Edit(p.ID).Name = fmt.Sprint("renamed ", i)
	case 1:
		if len(p.Cylinders) > 0 {
			d.Record(p.Cylinders[0].ID, roster.Reading{Percent: 31.9, At: departs, By: p.ID, Ref: fmt.Sprint(i)}, departs)
		}
	case 2:
		d.AddPerson(&roster.Person{Name: fmt.Sprint("new ", i)}, "", departs)
	case 3:
		if len(d.People) > 1 {
			d.People = slices.Delete(slices.Clone(d.People), who, who+1)
		}
	case 4:
		d.People = slices.Clone(d.People)
		slices.Reverse(d.People)
	case 5:
		d.EditPlan().Name = fmt.Sprint("trip ", i)
	case 6:
		d.Remind(fmt.Sprint("evening:", i), departs)
	case 7:
		d.EditCourse().GroupChat = roster.Address{Channel: "telegram", ID: fmt.Sprint(-i)}
	case 8:
		d.QueueUp(p.ID, departs)
	case 9:
		if p = d.Edit(p.ID); len(p.Cylinders) > 0 { // somebody else has it now, or nobody
			c := p.Cylinders[0]
			p.Cylinders = p.Cylinders[1:]
			if to := d.Edit(d.People[rapid.IntRange(0, len(d.People)-1).Draw(r, "to")].ID); to.ID != p.ID {
				to.Cylinders = append(to.Cylinders, c)
			}
		}
	case 10:
		d.AddCylinder(p.ID, 1, 32, fmt.Sprint(i), p.ID, departs)
	}
}

// clone is a trip as JSON brings it back.
func clone(t testing.TB, trip *roster.Trip) *roster.Trip {
	t.Helper()
	b, err := json.Marshal(trip)
	must(t, err)
	c := roster.NewTrip("", "")
	must(t, json.Unmarshal(b, c))
	return c
}

// What is the same pointer as before is not written again.
func TestOnlyWhatChangedIsWritten(t *testing.T) {
	newcomer := &roster.Person{ID: "p99", Name: "Marit"}
	for _, tt := range []struct {
		name, want string
		change     func(*roster.Commit)
	}{
		{"nothing", "", func(*roster.Commit) {}},
		{"an equal value", "", draft(func(d *roster.Draft) {
			d.SetCard("p4", gas.CardSeen, "p1", "", departs)
			d.Rename("Saturday two-tank", "p1", departs)
		})},
		{"a reading", "cylinder:c3 next noted:p2", draft(func(d *roster.Draft) {
			d.Record("c3", roster.Reading{Percent: 32.1, At: departs, By: "p2"}, departs)
		})},
		{"a reading of one of two cylinders", "cylinder:c6 next noted:p4", draft(func(d *roster.Draft) {
			d.Record(d.Person("p4").Cylinders[1].ID, roster.Reading{Percent: 35.9, At: departs, By: "p4"}, departs)
		})},
		{"a card", "noted:p1 person:p2", draft(func(d *roster.Draft) { d.SetCard("p2", gas.CardSeen, "p1", "", departs) })},
		{"a name of the trip", "noted:p1 plan", rename("Sunday")},
		{"a group chat", "course", draft(func(d *roster.Draft) { d.EditCourse().GroupChat.ID = "-5" })},
		{"a reminder", "rounds", draft(func(d *roster.Draft) { d.Remind("evening", departs) })},
		{"a place in the queue", "queue", draft(func(d *roster.Draft) { d.QueueUp("p2", departs) })},
		{"somebody new", "data noted:p99 person:p99", draft(func(d *roster.Draft) { d.AddPerson(newcomer, "", departs) })},
		{"another order", "data", draft(func(d *roster.Draft) {
			d.People = slices.Clone(d.People)
			slices.Reverse(d.People)
		})},
		{"somebody gone", "-cylinder:c3 -noted:p2 -person:p2 data", draft(func(d *roster.Draft) {
			d.People = slices.DeleteFunc(slices.Clone(d.People), func(p *roster.Person) bool { return p.ID == "p2" })
		})},
		{"a dialogue", "-session:p1 session:p2", func(c *roster.Commit) {
			session("p1", "")(c)
			session("p2", `{"state":"x"}`)(c)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			srv := embedded(t)
			s := rdb.New(srv.client)
			trip := mustCommit(t, s, boatful(2), session("p1", `{}`), session("p2", `{}`))
			rewritten := watchFields(t, srv, trip.ID)
			mustCommit(t, s, trip, tt.change)
			if d := cmp.Diff(strings.Fields(tt.want), rewritten(), cmpopts.EquateEmpty()); d != "" {
				t.Errorf("fields written (-want +got):\n%s", d)
			}
		})
	}
}

// watchFields marks every field of a trip but its version, and returns a look at
// those that were written since; with a minus at those that were removed.
func watchFields(t *testing.T, srv *server, id roster.TripID) (rewritten func() []string) {
	t.Helper()
	const mark = "not written"
	before := srv.client.HKeys(t.Context(), rdb.TripKey(id)).Val()
	for _, field := range before {
		if field != "v" && field != "by" {
			must(t, srv.client.HSet(t.Context(), rdb.TripKey(id), field, mark).Err())
		}
	}
	return func() (fields []string) {
		after := srv.client.HGetAll(t.Context(), rdb.TripKey(id)).Val()
		for field, v := range after {
			if v != mark && field != "v" && field != "by" {
				fields = append(fields, field)
			}
		}
		for _, field := range before {
			if after[field] == "" {
				fields = append(fields, "-"+field)
			}
		}
		slices.Sort(fields)
		return fields
	}
}

// What was given to a commit stays as it was; what it returns shares all but
// the version with it, and says what the next commit has to know.
func TestCommitReturnsWhatIsStored(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		was := create(t, s, "aaaaaaaaaa")
		c := commitOf(was, draft(func(d *roster.Draft) { d.CardSeen("p2", "p1", departs) }), token("tok"), wake(departs))
		given, before := *c.Trip, *was
		got, err := s.Commit(t.Context(), c)
		must(t, err)
		for _, untouched := range [][2]*roster.Trip{{&given, c.Trip}, {&before, was}} {
			if d := diff(untouched[0], untouched[1]); d != "" || untouched[0].Stored != untouched[1].Stored {
				t.Errorf("the commit wrote to a trip that it was given (-before +after):\n%s", d)
			}
		}
		if want := (roster.Stored{Token: "tok", Wake: departs, Expire: c.Expire}); got.Version != 2 || got.Stored != want {
			t.Errorf("got version %d, %+v, want 2, %+v", got.Version, got.Stored, want)
		}
		for i, p := range got.People {
			if p != c.Trip.People[i] {
				t.Errorf("%s is a copy", p.ID)
			}
		}
		if got.Plan != c.Trip.Plan || got.Course != c.Trip.Course ||
			got.Queue != c.Trip.Queue || got.Rounds != c.Trip.Rounds {
			t.Error("a part is a copy")
		}
		loaded := load(t, s, was.ID, "").Trip
		if want := (roster.Stored{Token: "tok"}); loaded.Stored != want {
			t.Errorf("loaded: %+v, want %+v", loaded.Stored, want)
		}
	})
}

// A value that no store returned is whole when nothing is stored, and out of
// date when something is.
func TestValueThatWasNeverStored(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		never := boatful(2)
		c := commitOf(never, rename("Sunday"))
		c.Was = never
		stored, err := s.Commit(t.Context(), c)
		must(t, err)
		if d := diff(clone(t, stored), load(t, s, never.ID, "").Trip); d != "" {
			t.Errorf("(-committed +loaded):\n%s", d)
		}
		forged := *stored
		forged.Stored = roster.Stored{}
		for name, was := range map[string]*roster.Trip{"of version 0": never, "without its token": &forged} {
			c := commitOf(stored, rename("Monday"))
			c.Was = was
			if _, err := s.Commit(t.Context(), c); !errors.Is(err, roster.ErrConflict) {
				t.Errorf("on a value %s: got %v, want a conflict", name, err)
			}
		}
	})
}

// A trip that was erased is not brought back by who still has it.
func TestErasedTripStaysErased(t *testing.T) {
	srv := embedded(t)
	s := rdb.New(srv.client)
	trip := create(t, s, "aaaaaaaaaa")
	flush(t, srv.client)
	forged := *trip
	forged.Stored = roster.Stored{}
	for _, was := range []*roster.Trip{trip, &forged} {
		if _, err := s.Commit(t.Context(), commitOf(was, rename("Sunday"))); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("under token %q: got %v, want a conflict", was.Stored.Token, err)
		}
	}
	if left := dump(t, srv.client); len(left) != 0 {
		t.Errorf("stored again: %v", left)
	}
}

// After a failover that lost a commit, what the other process wrote instead has
// the same number: nothing may be built on what isn't there.
func TestLostCommitIsNotBuiltOn(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		ours, theirs := rdb.New(srv.client), rdb.New(srv.client)
		name := func(id roster.PersonID, name string) func(*roster.Commit) {
			return draft(func(d *roster.Draft) { d.Edit(id).Name = name })
		}
		trip := mustCommit(t, ours, boatful(3))
		was := srv.client.HGetAll(t.Context(), rdb.TripKey(trip.ID)).Val()
		lost := mustCommit(t, ours, trip, name("p1", "Lost"))
		must(t, srv.client.Del(t.Context(), rdb.TripKey(trip.ID)).Err())
		must(t, srv.client.HSet(t.Context(), rdb.TripKey(trip.ID), was).Err())
		other := mustCommit(t, theirs, load(t, theirs, trip.ID, "").Trip, name("p2", "Kept"))
		if other.Version != lost.Version {
			t.Fatalf("versions %d and %d: the test tests nothing", other.Version, lost.Version)
		}

		before := dump(t, srv.client)
		if _, err := ours.Commit(t.Context(), commitOf(lost, name("p4", "Third"))); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("on what was lost: got %v, want a conflict", err)
		}
		if d := cmp.Diff(before, dump(t, srv.client)); d != "" {
			t.Errorf("a refused commit wrote something (-before +after):\n%s", d)
		}
		mustCommit(t, ours, load(t, ours, trip.ID, "").Trip, name("p1", "Lost"))
		got := load(t, ours, trip.ID, "").Trip
		if got.People[0].Name != "Lost" || got.People[1].Name != "Kept" {
			t.Errorf("stored %q and %q, want both changes", got.People[0].Name, got.People[1].Name)
		}
	})
}

// Instants that are as stored are left alone; those that are not known to be are
// written, and so is their end.
func TestInstantsThatAreAsStored(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client), t.Context()
		trip := create(t, s, "aaaaaaaaaa", wake(departs))
		bucket, _, _ := strings.Cut(rdb.TripKey(trip.ID), "trip:")
		due, shop := bucket+"due", bucket+"shop:bluebarrel"
		score := func(key string) float64 { return srv.client.ZScore(ctx, key, string(trip.ID)).Val() }
		scores := func() [2]float64 { return [2]float64{score(due), score(shop)} }
		stored, mark := scores(), [2]float64{1, 2}
		must(t, srv.client.ZAdd(ctx, due, redis.Z{Score: mark[0], Member: string(trip.ID)}).Err())
		must(t, srv.client.ZAdd(ctx, shop, redis.Z{Score: mark[1], Member: string(trip.ID)}).Err())
		trip = mustCommit(t, s, trip, wake(departs))
		if got := scores(); got != mark {
			t.Errorf("as stored: written as %v", got)
		}
		mustCommit(t, s, load(t, s, trip.ID, "").Trip, wake(departs))
		if got, want := scores(), ([2]float64{stored[0], mark[1]}); got != want {
			t.Errorf("after loading: got %v, want %v", got, want)
		}
		mustCommit(t, s, load(t, s, trip.ID, "").Trip)
		if err := srv.client.ZScore(ctx, due, string(trip.ID)).Err(); !errors.Is(err, redis.Nil) {
			t.Errorf("without a wake-up it is still due: %v", err)
		}
	})
}

// What a later commit makes anew expires with the trip, too.
func TestWhatComesLaterExpiresToo(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		ends := expire(time.Now().Add(time.Hour))
		trip := create(t, s, "aaaaaaaaaa", ends)
		mustCommit(t, s, trip, ends, source("tg:7"), session("p2", `{}`), events(1, 1),
			out(envelope("a", "p2", roster.LevelVerdict)), func(c *roster.Commit) { c.Acts = []roster.Act{{Verb: "limit"}} })
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
