package rdb_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// What older forms stored is brought into the present one in the tests of
// package delivery, with the data that programs of their time wrote. Here is
// what can come in between.

// storeOld stores a trip in form 1, and names it in its bucket.
func storeOld(t *testing.T, c redis.UniversalClient, trip *roster.Trip) {
	t.Helper()
	trip.Schema = 1
	b, err := json.Marshal(trip)
	must(t, err)
	key := rdb.TripKey(trip.ID)
	bucket, _, _ := strings.Cut(key, "trip:")
	must(t, c.HSet(t.Context(), key, "v", 7, "by", "old", "data", b).Err())
	must(t, c.ZAdd(t.Context(), bucket+"due", redis.Z{Score: 1, Member: string(trip.ID)}).Err())
}

// A trip that is written by somebody else while it is brought into the present
// form keeps what was written.
func TestUpgradeMeetsACommit(t *testing.T) {
	srv := embedded(t)
	s := rdb.New(srv.client)
	trip := boatful(3)
	storeOld(t, srv.client, trip)
	m := &meddler{after: "hgetall", do: func() {
		trip.Name = "Sunday two-tank"
		storeOld(t, srv.client, trip)
	}}
	srv.client.AddHook(m)
	must(t, s.Upgrade(t.Context()))
	if m.do != nil {
		t.Fatal("nothing came in between: the test tests nothing")
	}
	got := load(t, s, trip.ID, "").Trip
	if got.Name != "Sunday two-tank" || got.Schema != roster.SchemaVersion || got.Version != 8 || len(got.People) != len(trip.People) {
		t.Errorf("got %q of form %d, version %d, %d people", got.Name, got.Schema, got.Version, len(got.People))
	}
}

// Where a newer program has been, an older one does not start; where nobody has
// been, there is nothing to do but to say so, once.
func TestUpgradeOfNothing(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		must(t, s.Upgrade(t.Context()))
		before := dump(t, srv.client)
		must(t, s.Upgrade(t.Context()))
		if after := dump(t, srv.client); len(after) != len(before) || len(after) != 16 {
			t.Errorf("%d keys, then %d, want one a bucket", len(before), len(after))
		}
		for key := range before {
			must(t, srv.client.Set(t.Context(), key, roster.SchemaVersion+1, 0).Err())
		}
		if err := s.Upgrade(t.Context()); err == nil || !strings.Contains(err.Error(), "is newer than this program's") {
			t.Errorf("after a newer program: got %v", err)
		}
	})
}
