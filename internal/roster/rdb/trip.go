package rdb

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"github.com/hashicorp/golang-lru/v2/simplelru"

	"gasmuster/internal/roster"
)

// A trip is stored as the parts of its head, which is all but its people, and a
// field for each person, since most events change one person and little else.
// Until form 3 the head was one document, and in form 1 it had the people in it.

// personField is where one person is stored in the trip's hash, sessionField
// their dialogue state.
func personField(id roster.PersonID) string  { return "person:" + string(id) }
func sessionField(id roster.PersonID) string { return sessionPrefix + string(id) }

const sessionPrefix = "session:"

// firstInParts is the first form with a head in parts.
const firstInParts = 4

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
	for _, name := range roster.HeadParts {
		if fields[name] == "" && s.Schema < firstInParts {
			continue
		}
		document, err := roster.Unpack([]byte(fields[name]))
		if err == nil {
			err = json.Unmarshal(document, &s)
		}
		if err != nil {
			return nil, fmt.Errorf("stored form of %s can't be read: %w", name, err)
		}
		if s.Schema > roster.SchemaVersion {
			return nil, fmt.Errorf("stored form %d is newer than this program's %d", s.Schema, roster.SchemaVersion)
		}
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

// whole are all fields of a trip, in turn with their values.
func whole(t *roster.Trip) ([]any, error) {
	to, err := changed(t, version{})
	return to.fields, err
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
	token                 string // of the commit that wrote it
	head                  roster.Head
	people                []*roster.Person // roster.Trip.Snapshots: nobody changes these
	wake, expire, departs string           // as the script took them
	begin                 []any            // of the next call; see beginCommit
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
	fields        []any // name, value, ...
	gone          []any // fields
	before, after version
}

// write works out what is to be written of a trip.
func (w *written) write(c roster.Commit) (writing, error) {
	before := w.before(c.Trip)
	to, err := changed(c.Trip, before)
	if err != nil {
		return writing{}, err
	}
	to.after.token, to.after.wake, to.after.expire = c.Token, msOrNone(c.Wake), msOrNone(c.Expire)
	if to.after.begin == nil {
		to.after.begin = beginCommit(commitKeys(c.Trip)[:oftenTouched])
	}
	for person, state := range c.Sessions {
		if len(state) == 0 {
			to.gone = append(to.gone, sessionField(person))
		} else {
			to.fields = append(to.fields, sessionField(person), []byte(state))
		}
	}
	return to, nil
}

// changed is what of a trip differs from what was written before; all of it when
// that isn't known.
func changed(t *roster.Trip, before version) (writing, error) {
	to := writing{before: before, after: version{number: t.Version + 1, people: t.Snapshots(), departs: ms(t.Departs), begin: before.begin}}
	var err error
	if to.after.head, err = t.Head(roster.SchemaVersion); err != nil {
		return writing{}, err
	}
	for i, part := range to.after.head {
		if !bytes.Equal(part, before.head[i]) {
			to.fields = append(to.fields, roster.HeadParts[i], part)
		}
	}
	for i, p := range to.after.people {
		// A trip that was loaded since has other copies of the same people.
		if was := find(before.people, i, p.ID); was == p || was != nil && was.Same(p) {
			continue
		}
		b, err := p.AppendJSON(nil)
		if err != nil {
			return writing{}, err
		}
		to.fields = append(to.fields, personField(p.ID), b)
	}
	for i, was := range before.people {
		if find(to.after.people, i, was.ID) == nil {
			to.gone = append(to.gone, personField(was.ID))
		}
	}
	return to, nil
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

// times are the instants of commit.lua, and whether the expiry is another.
func (w *writing) times() (wake, departs string, moved bool) {
	was, is, known := &w.before, &w.after, w.before.token != ""
	return unless(was.wake, is.wake, known), unless(was.departs, is.departs, known), !known || was.expire != is.expire
}
