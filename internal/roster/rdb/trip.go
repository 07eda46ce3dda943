package rdb

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"github.com/hashicorp/golang-lru/v2/simplelru"

	"gasmuster/internal/roster"
)

// A trip is stored as the head, which is all but its people, and a field for
// each person, since most events change one person. The older form 1 has the
// people in the head.

// personField is where one person is stored in the trip's hash.
func personField(id roster.PersonID) string { return "person:" + string(id) }

// stored is the head as it is read; see roster.Trip.Head, which writes it.
type stored struct {
	roster.Trip
	People []*roster.Person  `json:"people,omitempty"` // of form 1
	Order  []roster.PersonID `json:"order,omitempty"`  // who is on the trip, in this order
}

// decode makes a trip of its hash.
func decode(fields map[string]string) (*roster.Trip, error) {
	if fields["v"] == "" || fields["data"] == "" {
		return nil, roster.ErrNotFound
	}
	var s stored
	if err := json.Unmarshal([]byte(fields["data"]), &s); err != nil {
		return nil, fmt.Errorf("stored form can't be read: %w", err)
	}
	if s.Schema > roster.SchemaVersion {
		return nil, fmt.Errorf("stored form %d is newer than this program's %d", s.Schema, roster.SchemaVersion)
	}
	trip := &s.Trip
	trip.People = s.People
	for _, id := range s.Order {
		p := new(roster.Person)
		if err := json.Unmarshal([]byte(fields[personField(id)]), p); err != nil {
			return nil, fmt.Errorf("stored form of person %s can't be read: %w", id, err)
		}
		trip.People = append(trip.People, p)
	}
	v, err := strconv.ParseInt(fields["v"], 10, 64)
	if err != nil {
		return nil, fmt.Errorf("stored version %q: %w", fields["v"], err)
	}
	trip.Version = v
	return trip, nil
}

// writtenTrips is of how many trips is remembered what was written, at about
// 30 KB; a trip that the process keeps shares it.
const writtenTrips = 500

// written remembers what this process wrote last of each trip, so that the
// next commit writes only what differs. The commit names the one that it builds
// on, and the script refuses when what is stored was written by another.
type written struct {
	mu    sync.Mutex
	trips *simplelru.LRU[roster.TripID, version]
}

type version struct {
	number                int64
	token                 string           // of the commit that wrote it
	people                []*roster.Person // roster.Trip.Snapshots: nobody changes these
	wake, expire, departs string           // as the script took them
}

func newWritten() *written {
	trips, err := simplelru.NewLRU[roster.TripID, version](writtenTrips, nil)
	if err != nil {
		panic("rdb: a cache needs a size") // the constant above
	}
	return &written{trips: trips}
}

// before is what is stored under a trip's version, the zero version when that
// isn't known.
func (w *written) before(t *roster.Trip) version {
	w.mu.Lock()
	defer w.mu.Unlock()
	if v, ok := w.trips.Get(t.ID); ok && v.number == t.Version {
		return v
	}
	return version{}
}

func (w *written) forget(id roster.TripID) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.trips.Remove(id)
}

func (w *written) now(id roster.TripID, v version) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.trips.Add(id, v)
}

// writing is what a commit writes of a trip.
type writing struct {
	head          []byte
	people        []any    // field, person (JSON), ...
	gone          []string // fields
	before, after version
}

// write works out what is to be written of a trip.
func (w *written) write(c roster.Commit) (writing, error) {
	t := c.Trip
	before := w.before(t)
	to := writing{before: before, after: version{number: t.Version + 1, token: c.Token, people: t.Snapshots(),
		wake: msOrNone(c.Wake), expire: msOrNone(c.Expire), departs: ms(t.Departs)}}
	for i, p := range to.after.people {
		// A trip that was loaded since has other copies of the same people.
		if was := find(before.people, i, p.ID); was == p || was != nil && was.Same(p) {
			continue
		}
		b, err := json.Marshal(p)
		if err != nil {
			return writing{}, err
		}
		to.people = append(to.people, personField(p.ID), b)
	}
	for i, was := range before.people {
		if find(to.after.people, i, was.ID) == nil {
			to.gone = append(to.gone, personField(was.ID))
		}
	}
	var err error
	to.head, err = t.Head(roster.SchemaVersion, to.after.number)
	return to, err
}

// find is the person with that id, nil when there is none. Most are in the same
// place as before.
func find(people []*roster.Person, place int, id roster.PersonID) *roster.Person {
	if place < len(people) && people[place].ID == id {
		return people[place]
	}
	i := slices.IndexFunc(people, func(p *roster.Person) bool { return p.ID == id })
	if i < 0 {
		return nil
	}
	return people[i]
}

// unless is now, or "=" when it is what it was before.
func unless(before, now string, known bool) string {
	if known && before == now {
		return "="
	}
	return now
}

// times are the three instants of commit.lua.
func (w *writing) times() (wake, expire, departs string) {
	was, is, known := &w.before, &w.after, w.before.token != ""
	return unless(was.wake, is.wake, known), unless(was.expire, is.expire, known), unless(was.departs, is.departs, known)
}
