package delivery_test

import (
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// What the shop changes within a minute waits in the store: the process that took
// it may be gone when it is told, and it is told once.
func TestWhatTheShopChangedIsToldByAnotherProcess(t *testing.T) {
	m := miniredis.RunT(t)
	m.SetTime(dayNow)
	c, err := rdb.Open("redis://" + m.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	first := newKeeper(t, c)
	first.book(saturday, first.now.Add(20*time.Hour))
	first.says(phoneOfInes, saturday, "/start "+invites.Code(saturday, "p1", 1))
	first.says(phoneOfTomasz, saturday, "/start "+invites.Code(saturday, "p2", 1))
	first.post(50)

	first.changes(conversation.Change{Name: new("Saturday, from the other pier")})
	first.now = first.now.Add(30 * time.Second)
	first.changes(conversation.Change{FirstDiveAfter: new(15.0), Departs: new(first.now.Add(21 * time.Hour))})
	if sent := first.post(50); len(sent) > 0 {
		t.Fatalf("sent at once: %d letters, want none before a minute has passed", len(sent))
	}

	second := newKeeper(t, c)
	for range 2 { // woken twice, it says it once
		second.now = first.now.Add(time.Minute)
		if err := second.door.Wake(t.Context(), saturday); err != nil {
			t.Fatal(err)
		}
	}
	to := map[roster.Address]int{}
	for _, e := range second.post(50) {
		to[e.Address]++
	}
	if len(to) != 2 || to[phoneOfInes] != 1 || to[phoneOfTomasz] != 1 {
		t.Errorf("letters: got %v, want one to each", to)
	}
}

// changes is what the shop does to Saturday's trip.
func (k *keeper) changes(c conversation.Change) {
	k.t.Helper()
	k.n++
	source := "shop:" + string(rune('a'+k.n))
	if _, err := k.door.Apply(k.t.Context(), saturday, source,
		func(*roster.Trip) (conversation.Change, error) { return c, nil }); err != nil {
		k.t.Fatal(err)
	}
}
