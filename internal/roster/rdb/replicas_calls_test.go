package rdb_test

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"reflect"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// call is one method of the store, called so that it has something to do.
type call func() error

func second[A any](_ A, err error) error        { return err }
func third[A, B any](_ A, _ B, err error) error { return err }

const callsTrip = roster.TripID("aaaaaaaaaa")

// furnished stores what every call finds something of: a trip with letters, news, a
// page and a log, its people's accounts, a shop, a host, a session at the desk.
func furnished(t *testing.T, s *rdb.Store) (trip *roster.Trip, letter roster.Claimed, news roster.News) {
	t.Helper()
	ctx := t.Context()
	trip = create(t, s, callsTrip, wake(departs), events(1, 3),
		out(envelope("a", "p1", roster.LevelVerdict), envelope("b", "p2", roster.LevelVerdict)))
	letter = claim(t, s.Outbox(), departs, 1)[0]
	must(t, s.Chats().Append(ctx, trip.ID, "p2", roster.Entry{ID: "m1", Text: "Ottokar"}))
	must(t, s.Addresses().Seat(ctx, tomasz, roster.Seat{Trip: trip.ID, Person: "p2", Departs: departs}))
	must(t, s.Shops().PutShop(ctx, roster.Shop{ID: "bluebarrel", KeyHash: "hash"}))
	must(t, third(s.Shops().Idempotent(ctx, "bluebarrel", "key", "body")))
	must(t, s.SignIns().Begin(ctx, "bluebarrel", "session", "mark", time.Hour))
	must(t, s.SignIns().Offer(ctx, "bluebarrel", "link", time.Hour))
	must(t, s.News().PutEndpoint(ctx, "bluebarrel", roster.Endpoint{ID: "e1"}))
	got, err := s.News().TakeNews(ctx, "teller", time.Now().Add(time.Hour), time.Minute, 1)
	if err != nil || len(got) != 1 {
		t.Fatalf("news: %v, %v", got, err)
	}
	return trip, letter, got[0]
}

// writes are the calls after which something must not be lost.
func writes(ctx context.Context, s *rdb.Store, trip *roster.Trip, news roster.News) map[string]call {
	other := roster.Address{Channel: "telegram", ID: "43"}
	people, shops, signIns := s.Addresses(), s.Shops(), s.SignIns()
	how := roster.Rewrite{Person: "p9", Text: func(string) string { return "-" },
		Payload: func(json.RawMessage) json.RawMessage { return []byte(`{}`) },
		Leave:   func(roster.Envelope) bool { return false }, InFlight: func(roster.Address) bool { return false }}
	later := time.Now().Add(48 * time.Hour)
	return map[string]call{
		"Store.Commit": func() error { return second(s.Commit(ctx, commitOf(trip, rename("Sunday")))) },
		"Store.Redact": func() error { return second(s.Redact(ctx, "bluebarrel", trip.ID, how)) },
		"Outbox.Claim": func() error {
			return second(s.Outbox().Claim(ctx, "w", departs, time.Minute, 5, nil))
		},
		"Chats.Append":    func() error { return s.Chats().Append(ctx, trip.ID, "p1", roster.Entry{ID: "m2"}) },
		"Chats.Erase":     func() error { return s.Chats().Erase(ctx, trip.ID, "p2") },
		"Addresses.Claim": func() error { return second(people.Claim(ctx, tomasz, "m1", trip.ID)) },
		"Addresses.Seat": func() error {
			return people.Seat(ctx, other, roster.Seat{Trip: trip.ID, Departs: departs})
		},
		"Addresses.Unseat":  func() error { return people.Unseat(ctx, tomasz, trip.ID) },
		"Addresses.Prefer":  func() error { return people.Prefer(ctx, tomasz, "", "pt", "") },
		"Addresses.Talk":    func() error { return people.Talk(ctx, tomasz, json.RawMessage(`{}`)) },
		"Addresses.Hosts":   func() error { return people.Hosts(ctx, tomasz, roster.HostSeat{ID: "h"}) },
		"Addresses.Forget":  func() error { return people.Forget(ctx, tomasz) },
		"Addresses.Migrate": func() error { return people.Migrate(ctx, tomasz, other) },
		"Hosts.PutHost":     func() error { return s.Hosts().PutHost(ctx, roster.Host{ID: "h"}) },
		"Hosts.RemoveHost":  func() error { return s.Hosts().RemoveHost(ctx, "h") },
		"Shops.PutShop": func() error {
			return shops.PutShop(ctx, roster.Shop{ID: "second", KeyHash: "another"})
		},
		"Shops.ReplaceShop": func() error {
			was := roster.Shop{ID: "bluebarrel", KeyHash: "hash"}
			return shops.ReplaceShop(ctx, was, roster.Shop{ID: "bluebarrel", KeyHash: "newer"})
		},
		"Store.EraseTrip":   func() error { return s.EraseTrip(ctx, "bluebarrel", trip.ID) },
		"Shops.RemoveShop":  func() error { return shops.RemoveShop(ctx, "bluebarrel") },
		"Shops.Idempotent":  func() error { return third(shops.Idempotent(ctx, "bluebarrel", "new", "body")) },
		"Shops.Answer":      func() error { return shops.Answer(ctx, "bluebarrel", "key", "body", []byte("{}")) },
		"SignIns.Begin":     func() error { return signIns.Begin(ctx, "bluebarrel", "h2", "mark", time.Hour) },
		"SignIns.End":       func() error { return signIns.End(ctx, "bluebarrel", "session") },
		"SignIns.EndAll":    func() error { return signIns.EndAll(ctx, "bluebarrel") },
		"SignIns.Offer":     func() error { return signIns.Offer(ctx, "bluebarrel", "l2", time.Hour) },
		"SignIns.Redeem":    func() error { return signIns.Redeem(ctx, "bluebarrel", "link") },
		"News.PutEndpoint":  func() error { return s.News().PutEndpoint(ctx, "second", roster.Endpoint{ID: "e2"}) },
		"News.DropEndpoint": func() error { return s.News().DropEndpoint(ctx, "second") },
		"News.Report": func() error {
			return third(s.News().Report(ctx, "bluebarrel", "e1", "", time.Hour, later))
		},
		"News.LogDelivery": func() error {
			return s.News().LogDelivery(ctx, "bluebarrel", roster.Delivery{Event: "e"})
		},
		"News.TakeNews": func() error { return second(s.News().TakeNews(ctx, "t2", later, time.Minute, 5)) },
		"News.EndNews":  func() error { return s.News().EndNews(ctx, news, roster.NewsTold, time.Time{}) },
		"News.WakeNews": func() error {
			return second(s.News().WakeNews(ctx, "bluebarrel", trip.ID, 1, true, later))
		},
	}
}

// unguarded are the calls that need no replica: what they write is made anew, said again,
// or waited for once more when a machine takes it along.
func unguarded(ctx context.Context, s *rdb.Store, letter roster.Claimed) map[string]call {
	l, windows := s.Limiter(), []roster.Window{{Bucket: "bot/all", Most: 1, Period: time.Second}}
	return map[string]call{
		"Store.Ping":         func() error { return s.Ping(ctx) },
		"Store.Due":          func() error { return second(s.Due(ctx, departs, 5)) },
		"Outbox.Later":       func() error { return s.Outbox().Later(ctx, letter, departs, false) },
		"Outbox.Sent":        func() error { return s.Outbox().Sent(ctx, letter) },
		"Outbox.Dead":        func() error { return s.Outbox().Dead(ctx, letter, "gone", departs) },
		"Limiter.Take":       func() error { return third(l.Take(ctx, "bot", 1, time.Second, departs)) },
		"Limiter.TakeAll":    func() error { return second(l.TakeAll(ctx, 1, windows, departs)) },
		"Limiter.Release":    func() error { return l.Release(ctx, "bot", "slot", time.Second, departs) },
		"Limiter.ReleaseAll": func() error { return l.ReleaseAll(ctx, windows, "slot", departs) },
		"Limiter.Pause":      func() error { return l.Pause(ctx, "bot", departs) },
	}
}

// looks are the calls that write nothing.
func looks(ctx context.Context, s *rdb.Store) map[string]call {
	return map[string]call{
		"Store.Load":         func() error { return second(s.Load(ctx, callsTrip, "tg:1")) },
		"Store.Log":          func() error { return second(s.Log(ctx, callsTrip)) },
		"Store.Events":       func() error { return second(s.Events(ctx, callsTrip)) },
		"Store.List":         func() error { return second(s.List(ctx, "bluebarrel", time.Time{}, time.Time{})) },
		"Store.Warnings":     func() error { s.Warnings(ctx); return nil },
		"Outbox.DeadLetters": func() error { return second(s.Outbox().DeadLetters(ctx, callsTrip)) },
		"Outbox.Waiting":     func() error { return second(s.Outbox().Waiting(ctx, callsTrip)) },
		"Outbox.Depth":       func() error { return second(s.Outbox().Depth(ctx)) },
		"Chats.Read":         func() error { return second(s.Chats().Read(ctx, callsTrip, "p2", "")) },
		"Chats.Pulse":        func() error { return second(s.Chats().Pulse(ctx, callsTrip)) },
		"Addresses.Route":    func() error { return second(s.Addresses().Route(ctx, tomasz, "m1")) },
		"Hosts.Host":         func() error { return second(s.Hosts().Host(ctx, "h")) },
		"Hosts.HostList":     func() error { return second(s.Hosts().HostList(ctx)) },
		"Shops.ShopByKey":    func() error { return second(s.Shops().ShopByKey(ctx, "hash")) },
		"Shops.Shop":         func() error { return second(s.Shops().Shop(ctx, "bluebarrel")) },
		"Shops.ShopList":     func() error { return second(s.Shops().ShopList(ctx)) },
		"SignIns.Session":    func() error { return second(s.SignIns().Session(ctx, "bluebarrel", "session")) },
		"News.Endpoint":      func() error { return second(s.News().Endpoint(ctx, "bluebarrel")) },
		"News.Deliveries":    func() error { return second(s.News().Deliveries(ctx, "bluebarrel", departs, 5)) },
		"News.NewsWaiting":   func() error { return second(s.News().NewsWaiting(ctx, []roster.TripID{callsTrip})) },
	}
}

// Every call of the store that writes is refused while the replicas are missing, in
// whatever way it writes; what only looks is answered, and at once.
func TestEveryWriteWaitsForReplicas(t *testing.T) {
	master := own(t)
	plain := rdb.New(master.client(t))
	trip, letter, news := furnished(t, plain)
	s := rdb.New(waiting(t, "redis://"+master.addr(), 1))

	before := dump(t, master.client(t))
	for name, call := range looks(t.Context(), s) {
		if err := call(); err != nil && !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("%s, which only looks: %v", name, err)
		}
	}
	if after := dump(t, master.client(t)); !maps.Equal(before, after) {
		t.Error("something that should only look has written")
	}
	for name, call := range unguarded(t.Context(), s, letter) {
		if err := call(); err != nil && !errors.Is(err, roster.ErrConflict) {
			t.Errorf("%s, which no replica has to have: %v", name, err)
		}
	}
	var all sync.WaitGroup // each waits for a second in vain
	for name, call := range writes(t.Context(), s, trip, news) {
		all.Go(func() {
			if err := call(); !errors.Is(err, rdb.ErrTooFewReplicas) {
				t.Errorf("%s: %v, want that too few replicas have it", name, err)
			}
		})
	}
	all.Wait()
	called := looks(t.Context(), s)
	maps.Copy(called, unguarded(t.Context(), s, letter))
	maps.Copy(called, writes(t.Context(), s, trip, news))
	parts := []any{s, s.Outbox(), s.Chats(), s.Addresses(), s.Hosts(), s.Shops(), s.SignIns(), s.News(), s.Limiter()}
	for _, part := range parts {
		typ := reflect.TypeOf(part)
		for i := range typ.NumMethod() {
			name := typ.Elem().Name() + "." + typ.Method(i).Name
			takesContext := typ.Method(i).Type.NumIn() > 1 // the others hand out the parts
			if takesContext && called[name] == nil {
				t.Errorf("%s is called nowhere here: does it write?", name)
			}
		}
	}
}
