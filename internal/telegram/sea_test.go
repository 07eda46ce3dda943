package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/roster/rostertest"
)

// The people of two trips of two shops, by account, and somebody on none.
const (
	ines, tomasz, marit int64 = 1001, 1002, 1003 // p1 (leader), p2, p4 of trip ours
	aoife, kenji        int64 = 2001, 2002       // p1 (leader), p2 of trip theirs
	stranger            int64 = 3001
)

const (
	ours   roster.TripID = "abcdefgh23"
	theirs roster.TripID = "zyxwvuts76"
)

var seats = map[int64]roster.Seat{
	ines: {Trip: ours, Person: "p1"}, tomasz: {Trip: ours, Person: "p2"}, marit: {Trip: ours, Person: "p4"},
	aoife: {Trip: theirs, Person: "p1"}, kenji: {Trip: theirs, Person: "p2"},
}

// sea is the channel with the real door and store behind it, and two trips at
// the dock. Letters stay in the outbox, where they are looked at.
type sea struct {
	t       testing.TB
	mini    *miniredis.Miniredis
	store   *rdb.Store
	door    *delivery.Door
	invites delivery.Invites
	ch      *Channel
	now     time.Time
	update  int64

	mu     sync.Mutex
	direct []delivery.Reply // answers to people on no trip

	pristine map[roster.TripID]roster.Loaded
}

func newSea(t testing.TB) *sea {
	t.Helper()
	s := &sea{t: t, mini: miniredis.RunT(t), invites: delivery.NewInvites("a secret for these tests"),
		now: time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC), update: 500}
	client, err := rdb.Open("redis://" + s.mini.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { client.Close() })
	s.mini.SetTime(s.now)
	s.store = rdb.New(client)
	clock := func() time.Time { return s.now }
	s.store.Now = clock
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: rostertest.Watch(t, s.store), Addresses: s.store.Addresses(),
		Pages:   s.store.Chats(),
		Invites: s.invites, Now: clock})
	r := newRig(t, byWebhook, func(r *rig) { r.cfg.Handler, r.cfg.Now = s, clock })
	s.ch = r.ch
	r.hook.Close()
	if err := s.ch.connect(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.sail()
	return s
}

// Handle is the door's, and keeps what it wants said directly.
func (s *sea) Handle(ctx context.Context, in delivery.Inbound) (*delivery.Reply, error) {
	reply, err := s.door.Handle(ctx, in)
	if reply != nil {
		s.mu.Lock()
		s.direct = append(s.direct, *reply)
		s.mu.Unlock()
	}
	return nil, err
}

// sail stores both trips, lets everybody join and Tomasz and Kenji analyse.
func (s *sea) sail() {
	s.t.Helper()
	s.create(ours, "bluebarrel", "Inês", "Tomasz", "Marit")
	s.create(theirs, "redbuoy", "Aoife", "Kenji")
	for account, seat := range seats {
		s.say(account, "/start "+s.invites.Code(seat.Trip, seat.Person, 1))
	}
	for _, said := range []struct {
		by   int64
		text string
	}{{tomasz, "not dived"}, {tomasz, "17 32.4"}, {tomasz, "not dived"}, {kenji, "17 31.9"}} {
		s.now = s.now.Add(time.Minute)
		s.say(said.by, said.text)
	}
	s.now = s.now.Add(time.Minute)
	s.pristine = map[roster.TripID]roster.Loaded{ours: s.load(ours), theirs: s.load(theirs)}
	for _, id := range []roster.TripID{ours, theirs} {
		if p := s.pristine[id].Trip.Person("p2"); p.Cylinders[0].Newest() == nil {
			s.t.Fatalf("trip %s: p2 has no reading", id)
		}
	}
}

func (s *sea) create(id roster.TripID, shop roster.ShopID, leader string, divers ...string) {
	s.t.Helper()
	t := roster.Change(roster.NewTrip(id, shop))
	*t.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores",
		Departs: s.now.Add(90 * time.Minute), Units: gas.Metres, Policy: gas.DefaultPolicy(gas.Metres), Quiet: "22:00-06:00",
		Evening: "0 18 * * *",
		Dives:   []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(34), Minutes: 22, Water: gas.Salt}}}
	t.AddPerson(&roster.Person{Name: leader, Leader: true, Card: gas.CardSeen, Language: "en"}, "", s.now)
	for i, name := range divers {
		p := &roster.Person{Name: name, Card: gas.CardSeen, Language: "en",
			Cylinders: []*roster.Cylinder{{Label: fmt.Sprint(17 + 5*i), Asked: 32, Dive: 1}}}
		t.AddPerson(p, "", s.now)
	}
	if _, err := s.door.Create(s.t.Context(), t); err != nil {
		s.t.Fatal(err)
	}
}

func (s *sea) load(id roster.TripID) roster.Loaded {
	s.t.Helper()
	l, err := s.store.Load(s.t.Context(), id, "")
	if err != nil {
		s.t.Fatal(err)
	}
	return l
}

// bytes is a trip as it is stored, its version included.
func (s *sea) bytes(id roster.TripID) []byte {
	s.t.Helper()
	return asBytes(s.t, s.load(id).Trip)
}

func asBytes(t testing.TB, v any) []byte {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// post brings an update in as the Bot API server does.
func (s *sea) post(update map[string]any) {
	s.t.Helper()
	s.update++
	update["update_id"] = s.update
	s.ch.flood = newFlood() // these people never tire
	if got := answer(s.ch, "POST", secret, bytes.NewReader(asBytes(s.t, update))).StatusCode; got != 200 {
		s.t.Errorf("status %d, want 200, for %s", got, asBytes(s.t, update))
	}
}

func (s *sea) say(account int64, text string) {
	s.t.Helper()
	s.post(map[string]any{"message": map[string]any{"message_id": s.update, "date": s.now.Unix(), "text": text,
		"chat": map[string]any{"id": account, "type": "private"}, "from": map[string]any{"id": account}}})
}

// press brings in a pressed button that carries data. The callback has no id,
// so that nothing is sent to the Bot API.
func (s *sea) press(account int64, data string) {
	s.t.Helper()
	s.post(map[string]any{"callback_query": map[string]any{"id": "", "data": data, "from": map[string]any{"id": account},
		"message": map[string]any{"message_id": 7, "chat": map[string]any{"id": account, "type": "private"}}}})
}

// said are the keys of what waits to be said to an account, or was said
// directly: the first line of each message. Restore forgets it.
func (s *sea) said(account int64) []string {
	s.t.Helper()
	var keys []string
	s.mu.Lock()
	for _, r := range s.direct {
		keys = append(keys, r.Message.Lines[0].Key)
	}
	s.mu.Unlock()
	for _, id := range []roster.TripID{ours, theirs} {
		waiting, err := s.store.Outbox().Waiting(s.t.Context(), id)
		if err != nil {
			s.t.Fatal(err)
		}
		for _, e := range waiting {
			var m message.Message
			if err := json.Unmarshal(e.Payload, &m); err != nil {
				s.t.Fatal(err)
			}
			if e.Address == private(account) {
				keys = append(keys, m.Lines[0].Key)
			}
		}
	}
	return keys
}

// restore brings both trips back to what they were at the dock.
func (s *sea) restore() {
	s.t.Helper()
	s.mini.FlushAll()
	s.mu.Lock()
	s.direct = nil
	s.mu.Unlock()
	for id, l := range s.pristine {
		t := *l.Trip
		t.Version = 0
		if _, err := s.store.Commit(s.t.Context(), roster.Commit{Trip: &t, Token: roster.NewToken()}); err != nil {
			s.t.Fatal(err)
		}
		s.pristine[id] = s.load(id)
	}
	for account, seat := range seats {
		seat.Departs = s.pristine[seat.Trip].Trip.Departs
		if err := s.store.Addresses().Seat(s.t.Context(), private(account), seat); err != nil {
			s.t.Fatal(err)
		}
	}
}
