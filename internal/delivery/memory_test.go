package delivery_test

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// memory is a store by hand: trips, sessions and routes in maps, every value
// encoded as a real store would, so that nothing is shared by accident.
type memory struct {
	mu       sync.Mutex
	trips    map[roster.TripID][]byte
	versions map[roster.TripID]int64
	sessions map[roster.TripID]map[roster.PersonID]json.RawMessage
	seen     map[string]bool
	out      []roster.Envelope
	commits  []roster.Commit
	routes   map[roster.Address]roster.Route
	claims   map[string]roster.TripID
	erased   []string
	order    []string // "link", "commit", "unlink", ... as they came

	loads, routed int // round trips that looked something up

	down   error                      // what every call returns
	before func(*roster.Commit) error // called before each commit, may refuse it
	lose   func(*roster.Commit) error // called after each commit: its answer is lost
}

func newMemory() *memory {
	return &memory{trips: map[roster.TripID][]byte{}, versions: map[roster.TripID]int64{}, sessions: map[roster.TripID]map[roster.PersonID]json.RawMessage{},
		seen: map[string]bool{}, routes: map[roster.Address]roster.Route{}, claims: map[string]roster.TripID{}}
}

func (m *memory) Load(_ context.Context, id roster.TripID, source string) (roster.Loaded, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	b, ok := m.trips[id]
	switch {
	case m.down != nil:
		return roster.Loaded{}, m.down
	case !ok:
		return roster.Loaded{}, roster.ErrNotFound
	}
	var t roster.Trip
	if err := json.Unmarshal(b, &t); err != nil {
		return roster.Loaded{}, err
	}
	t.Version = m.versions[id]
	sessions := map[roster.PersonID]json.RawMessage{}
	maps.Copy(sessions, m.sessions[id])
	m.loads++
	return roster.Loaded{Trip: &t, Sessions: sessions, Seen: source != "" && m.seen[string(id)+source]}, nil
}

func (m *memory) Commit(_ context.Context, c roster.Commit) error {
	if m.before != nil {
		if err := m.before(&c); err != nil {
			return err
		}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	id := c.Trip.ID
	switch {
	case m.down != nil:
		return m.down
	case slices.ContainsFunc(c.Sources, func(source string) bool { return m.seen[string(id)+source] }):
		return roster.ErrDuplicate
	case m.versions[id] != c.Trip.Version:
		return roster.ErrConflict
	}
	m.versions[id]++
	c.Trip.Version = m.versions[id]
	m.trips[id], _ = json.Marshal(c.Trip)
	for _, source := range c.Sources {
		m.seen[string(id)+source] = true
	}
	for p, s := range c.Sessions {
		if m.sessions[id] == nil {
			m.sessions[id] = map[roster.PersonID]json.RawMessage{}
		}
		m.sessions[id][p] = s
		if s == nil {
			delete(m.sessions[id], p)
		}
	}
	m.out = append(m.out, c.Out...)
	m.commits = append(m.commits, c)
	m.order = append(m.order, "commit")
	if m.lose != nil {
		return m.lose(&c)
	}
	return nil
}

func (m *memory) Log(context.Context, roster.TripID) ([]roster.Act, error) { return nil, nil }
func (m *memory) List(context.Context, roster.ShopID, time.Time, time.Time) ([]roster.TripID, error) {
	return nil, nil
}
func (m *memory) Due(context.Context, time.Time, int) ([]roster.TripID, error) { return nil, m.down }
func (m *memory) Ping(context.Context) error                                   { return m.down }

func (m *memory) Route(_ context.Context, a roster.Address, source string) (roster.Route, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.routed++
	r := m.routes[a]
	r.Trips = slices.Clone(r.Trips)
	r.Claimed = m.claims[a.ID+source]
	return r, m.down
}

func (m *memory) Claim(_ context.Context, a roster.Address, source string, trip roster.TripID) (roster.TripID, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if was, ok := m.claims[a.ID+source]; ok {
		return was, m.down
	}
	m.claims[a.ID+source] = trip
	return trip, m.down
}

func (m *memory) Link(_ context.Context, a roster.Address, s roster.Seat) error {
	return m.reroute("link", a, func(r *roster.Route) {
		if old := slices.IndexFunc(r.Trips, func(o roster.Seat) bool { return o.Trip == s.Trip }); old >= 0 {
			r.Trips[old] = s
			return
		}
		r.Trips = append(r.Trips, s)
	})
}

func (m *memory) Unlink(_ context.Context, a roster.Address, trip roster.TripID) error {
	return m.reroute("unlink", a, func(r *roster.Route) {
		r.Trips = slices.DeleteFunc(r.Trips, func(o roster.Seat) bool { return o.Trip == trip })
	})
}

func (m *memory) Prefer(_ context.Context, a roster.Address, current roster.TripID, language, units string) error {
	return m.reroute("prefer", a, func(r *roster.Route) {
		if current != "" {
			r.Current = current
		}
		if language != "" {
			r.Language = language
		}
		if units != "" {
			r.Units = units
		}
	})
}

func (m *memory) Forget(_ context.Context, a roster.Address) error {
	return m.reroute("forget", a, func(r *roster.Route) { *r = roster.Route{} })
}

func (m *memory) Migrate(_ context.Context, from, to roster.Address) error {
	return m.reroute("migrate", to, func(r *roster.Route) {
		r.Trips = append(r.Trips, m.routes[from].Trips...)
		delete(m.routes, from)
	})
}

func (m *memory) reroute(what string, a roster.Address, change func(*roster.Route)) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.down != nil {
		return m.down
	}
	m.order = append(m.order, what)
	r := m.routes[a]
	change(&r)
	m.routes[a] = r
	return nil
}

func (m *memory) Erase(_ context.Context, trip roster.TripID, p roster.PersonID) error {
	m.erased = append(m.erased, string(trip)+"/"+string(p))
	return m.down
}

func (m *memory) trip(t *testing.T, id roster.TripID) *roster.Trip {
	t.Helper()
	l, err := m.Load(t.Context(), id, "")
	if err != nil {
		t.Fatalf("load %s: %v", id, err)
	}
	return l.Trip
}

// noon is now in these tests, the day before the trips.
var noon = time.Date(2027, 5, 14, 12, 0, 0, 0, time.UTC)

const (
	tripA roster.TripID = "aaaaaaaaaa"
	tripB roster.TripID = "bbbbbbbbbb"
)

// charter is a trip with a leader and a diver who both have joined by Telegram
// chat, and a diver who has not joined.
func charter(id roster.TripID, departs time.Time) *roster.Trip {
	return &roster.Trip{ID: id, Schema: roster.SchemaVersion, Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: departs,
		Units: gas.Metres, Policy: gas.DefaultPolicy(),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 22, Water: gas.Salt}},
		People: []*roster.Person{
			{ID: "p1", Name: "Inês", Leader: true, Generation: 1, Joined: noon, Addresses: []roster.Address{chat("100")}},
			{ID: "p2", Name: "Tomasz", Generation: 1, Joined: noon, Units: "ft", Language: "pl", Addresses: []roster.Address{chat("200")}},
			{ID: "p3", Name: "Marit", Generation: 2},
		}}
}

func chat(id string) roster.Address { return roster.Address{Channel: "telegram", ID: id} }

// stage is a door on a memory with trip A, whose step is a recorder: it
// remembers every event and answers the acting person with one line.
type stage struct {
	*memory
	door   *delivery.Door
	mu     sync.Mutex
	inputs []conversation.Input
	kicks  int
	answer func(conversation.Input) conversation.Result // default: one letter to who acts
}

var invites = delivery.NewInvites("a secret for the tests")

func newStage(t *testing.T, trips ...*roster.Trip) *stage {
	t.Helper()
	s := &stage{memory: newMemory()}
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.memory, People: s.memory, Pages: s.memory, Invites: invites,
		Keep: 30 * 24 * time.Hour, Evening: "0 18 * * *", Quiet: "22:00-06:00",
		Now: func() time.Time { return noon }, Kick: func() { s.kicks++ }, Step: s.step,
		Wait: func(context.Context, int) error { return nil }})
	if len(trips) == 0 {
		trips = []*roster.Trip{charter(tripA, noon.Add(20*time.Hour))}
	}
	for _, trip := range trips {
		if err := s.door.Create(t.Context(), trip); err != nil {
			t.Fatalf("create: %v", err)
		}
		for _, p := range trip.People {
			for _, a := range p.Addresses {
				_ = s.Link(t.Context(), a, roster.Seat{Trip: trip.ID, Person: p.ID, Departs: trip.Departs})
			}
		}
	}
	s.out, s.commits, s.order, s.inputs, s.kicks = nil, nil, nil, nil, 0
	return s
}

func (s *stage) step(in conversation.Input) conversation.Result {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.inputs = append(s.inputs, in)
	if s.answer != nil {
		return s.answer(in)
	}
	if in.Event.Person == "" {
		return conversation.Result{Session: in.Session}
	}
	return conversation.Result{Session: in.Session, Letters: []conversation.Letter{letter(in.Event.Person)}}
}

func letter(p roster.PersonID) conversation.Letter {
	return conversation.Letter{Person: p, Safety: true, Message: message.Message{Lines: []message.Line{message.Say("test", nil)}}}
}

// text is what the diver p2 typed in the private chat.
func text(source, words string) delivery.Inbound {
	return delivery.Inbound{Kind: conversation.Text, Source: source, Ref: "ref:" + source, From: chat("200"), Text: words, At: noon}
}

// handled sends in through the door and wants no fault.
func (s *stage) handled(t *testing.T, in delivery.Inbound) *delivery.Reply {
	t.Helper()
	reply, err := s.door.Handle(t.Context(), in)
	if err != nil {
		t.Fatalf("handle %s %q: %v", in.Kind, in.Text, err)
	}
	return reply
}

// said is the key of a reply, "" for none.
func said(r *delivery.Reply) string {
	if r == nil {
		return ""
	}
	return r.Message.Lines[0].Key
}

func (s *stage) events() []conversation.Kind {
	var kinds []conversation.Kind
	for _, in := range s.inputs {
		kinds = append(kinds, in.Event.Kind)
	}
	return kinds
}

func (s *stage) addressed() map[roster.Address]int {
	n := map[roster.Address]int{}
	for _, e := range s.out {
		n[e.Address]++
	}
	return n
}

func (s *stage) linked(a roster.Address) []roster.TripID {
	var ids []roster.TripID
	for _, seat := range s.routes[a].Trips {
		ids = append(ids, seat.Trip)
	}
	return slices.Sorted(slices.Values(ids))
}

var errDown = errors.New("store is down")
