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

// A trip that is erased leaves nothing behind, and no other trip is touched: nor in the
// answers that are kept for the shop.
func TestATripIsErasedAtOnce(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		soon := time.Now().Add(time.Hour)
		trip := create(t, s, "aaaaaaaaaa", expire(soon), wake(departs), source("tg:7"), session("p2", `{}`),
			out(envelope("a", "p2", roster.LevelVerdict), envelope("b", "p1", roster.LevelAnnouncement)),
			func(c *roster.Commit) { c.Events = []json.RawMessage{[]byte(`{}`)} })
		other := create(t, s, "bbbbbbbbbb", expire(soon), wake(departs))
		must(t, s.Chats().Append(t.Context(), trip.ID, "p2", roster.Entry{ID: "m1", At: departs}))
		for key, id := range map[string]roster.TripID{"one": trip.ID, "two": other.ID} {
			_, _, err := s.Shops().Idempotent(t.Context(), trip.Shop, key, "hash")
			must(t, err)
			body, err := json.Marshal(map[string]any{"status": 201,
				"body": `{"id":"` + string(id) + `","name":"Diver of ` + string(id) + `"}`})
			must(t, err)
			must(t, s.Shops().Answer(t.Context(), trip.Shop, key, "hash", body))
		}
		for range 2 { // asked again it is no fault
			must(t, s.EraseTrip(t.Context(), trip.Shop, trip.ID))
		}
		if _, err := s.Load(t.Context(), trip.ID, ""); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("load: %v", err)
		}
		if ids, err := s.List(t.Context(), trip.Shop, time.Time{}, time.Time{}); err != nil || len(ids) != 1 ||
			ids[0] != other.ID {
			t.Errorf("listed: %v, %v", ids, err)
		}
		if due, err := s.Due(t.Context(), departs, 5); err != nil || len(due) != 1 || due[0] != other.ID {
			t.Errorf("due: %v, %v", due, err)
		}
		if _, err := s.Load(t.Context(), other.ID, ""); err != nil {
			t.Errorf("the other trip: %v", err)
		}
		kept := false
		for key, content := range dump(t, srv.client) {
			answer := strings.Contains(key, "idem") // keeps the id, which says nothing
			if strings.Contains(content, "Diver of "+string(trip.ID)) || !answer &&
				strings.Contains(key+content, string(trip.ID)) {
				t.Errorf("left behind: %s = %s", key, content)
			}
			kept = kept || strings.Contains(content, "Diver of "+string(other.ID))
		}
		if !kept {
			t.Error("the answer about the other trip is gone")
		}
	})
}

// A shop is stored in place of what was read only while its key is the same: a key that was
// replaced meanwhile must not come back to life.
func TestAReplacedShopHasItsKey(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client).Shops()
		was := roster.Shop{ID: "s1", Name: "Blue Barrel", KeyHash: "hash1"}
		must(t, s.PutShop(t.Context(), was))
		is := was
		is.Name = "Red Barrel"
		must(t, s.ReplaceShop(t.Context(), was, is))
		newKey := is
		newKey.KeyHash = "hash2"
		must(t, s.ReplaceShop(t.Context(), is, newKey))
		late := was
		late.Name = "Old Barrel"
		if err := s.ReplaceShop(t.Context(), was, late); !errors.Is(err, roster.ErrConflict) {
			t.Errorf("got %v, want a conflict", err)
		}
		if got, err := s.ShopByKey(t.Context(), "hash2"); err != nil || got.Name != "Red Barrel" {
			t.Errorf("got %+v, %v", got, err)
		}
		if _, err := s.ShopByKey(t.Context(), "hash1"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("the old key: %v", err)
		}
	})
}
