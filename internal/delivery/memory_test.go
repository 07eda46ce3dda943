package delivery_test

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// memory is a store by hand: trips, sessions and routes in maps, every value
// encoded as a real store would, so that nothing is shared by accident. A value
// that is no longer what it was when it was loaded or committed is noted.
type memory struct {
	mu       sync.Mutex
	trips    map[roster.TripID][]byte
	versions map[roster.TripID]int64
	tokens   map[roster.TripID][]string // of commits, the newest first
	spoilt   []string                   // values that somebody wrote to
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
	return &memory{trips: map[roster.TripID][]byte{}, versions: map[roster.TripID]int64{},
		tokens:   map[roster.TripID][]string{},
		sessions: map[roster.TripID]map[roster.PersonID]json.RawMessage{},
		seen:     map[string]bool{}, routes: map[roster.Address]roster.Route{}, claims: map[string]roster.TripID{}}
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
	t := roster.NewTrip(id, "") // what is empty is not stored
	if err := json.Unmarshal(b, t); err != nil {
		return roster.Loaded{}, err
	}
	t.Version, t.Stored.Token = m.versions[id], m.tokens[id][0]
	sessions := map[roster.PersonID]json.RawMessage{}
	maps.Copy(sessions, m.sessions[id])
	m.loads++
	return roster.Loaded{Trip: t, Sessions: sessions, Seen: source != "" && m.seen[string(id)+source]}, nil
}

func (m *memory) Commit(_ context.Context, c roster.Commit) (*roster.Trip, error) {
	if m.before != nil {
		if err := m.before(&c); err != nil {
			return nil, err
		}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.down != nil {
		return nil, m.down
	}
	if slices.Contains(m.tokens[c.Trip.ID], c.Token) {
		return m.committed(c), nil
	}
	if err := m.refuses(c); err != nil {
		return nil, err
	}
	m.write(c)
	if m.lose != nil {
		if err := m.lose(&c); err != nil {
			return nil, err
		}
	}
	return m.committed(c), nil
}

// refuses says why a commit can't be written.
func (m *memory) refuses(c roster.Commit) error {
	id := c.Trip.ID
	for _, source := range c.Sources {
		if m.seen[string(id)+source] {
			return roster.DuplicateError{Source: source}
		}
	}
	if c.Was == nil {
		if _, there := m.trips[id]; there {
			return roster.ErrConflict
		}
		return nil
	}
	if len(m.tokens[id]) == 0 || m.versions[id] != c.Was.Version || m.tokens[id][0] != c.Was.Stored.Token {
		return roster.ErrConflict
	}
	if string(m.trips[id]) != string(kept(c.Was)) {
		m.spoilt = append(m.spoilt, fmt.Sprintf("version %d of %s, which was changed", c.Was.Version, id))
	}
	return nil
}

// kept is a trip as it is kept: without its version, which is kept beside it.
func kept(t *roster.Trip) []byte {
	still := *t
	still.Version = 0
	b, err := json.Marshal(&still)
	if err != nil {
		panic(err) // our own types
	}
	return b
}

// committed is the value of a commit that was written.
func (m *memory) committed(c roster.Commit) *roster.Trip {
	t := *c.Trip
	t.Version, t.Stored = m.versions[t.ID], roster.Stored{Token: c.Token, Wake: c.Wake, Expire: c.Expire}
	return &t
}

func (m *memory) write(c roster.Commit) {
	id := c.Trip.ID
	m.versions[id]++
	m.tokens[id] = append([]string{c.Token}, m.tokens[id][:min(len(m.tokens[id]), 7)]...)
	m.trips[id] = kept(c.Trip)
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

func (m *memory) Seat(_ context.Context, a roster.Address, s roster.Seat) error {
	return m.reroute("link", a, func(r *roster.Route) {
		if old := slices.IndexFunc(r.Trips, func(o roster.Seat) bool { return o.Trip == s.Trip }); old >= 0 {
			r.Trips[old] = s
			return
		}
		r.Trips = append(r.Trips, s)
	})
}

func (m *memory) Unseat(_ context.Context, a roster.Address, trip roster.TripID) error {
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

func (m *memory) Talk(_ context.Context, a roster.Address, state json.RawMessage) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	r := m.routes[a]
	r.Talk = state
	m.routes[a] = r
	return m.down
}

func (m *memory) Hosts(_ context.Context, a roster.Address, seat roster.HostSeat) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	r := m.routes[a]
	r.Host = seat
	m.routes[a] = r
	return m.down
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
