package delivery

import (
	"slices"
	"sync"

	"github.com/hashicorp/golang-lru/v2/simplelru"

	"gasmuster/internal/roster"
)

// How much is kept in memory: trips at about 100 KB with all that was worked out
// of them (BenchmarkKept in package roster), addresses at about 100 bytes.
const (
	keptTrips     = 300
	keptAddresses = 20_000
)

// kept are trips as this process committed them last, so that the next event
// needs no load. Whoever takes one has it alone and puts it back only as it is
// stored. It may be out of date when another process committed since: then the
// commit is a conflict and the trip is loaded. Therefore nothing may be decided
// by it that does not end in a commit.
//
// It also knows on which trip an address was last; see roster.Person.OnlyTrip
// for what makes that more than a guess.
type kept struct {
	mu    sync.Mutex
	trips *simplelru.LRU[roster.TripID, atHand]
	last  *simplelru.LRU[roster.Address, roster.TripID]
}

// atHand is a trip as it is stored and who can be written to where.
type atHand struct {
	roster.Loaded
	book book
	kept bool // the book was looked at before
}

func newKept() *kept {
	trips, err := simplelru.NewLRU[roster.TripID, atHand](keptTrips, nil)
	last, err2 := simplelru.NewLRU[roster.Address, roster.TripID](keptAddresses, nil)
	if err != nil || err2 != nil {
		panic("delivery: a cache needs a size") // the constants above
	}
	return &kept{trips: trips, last: last}
}

// take hands a trip out to one event.
func (k *kept) take(id roster.TripID) (atHand, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	l, ok := k.trips.Peek(id)
	k.trips.Remove(id)
	return l, ok
}

// lastOf is the trip that an address was last known to be on, and on no other.
func (k *kept) lastOf(a roster.Address) (roster.TripID, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.last.Get(a)
}

func (k *kept) forget(a roster.Address) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.last.Remove(a)
}

// put gives a trip back as it is stored, with its book.
func (k *kept) put(l atHand, now book) {
	k.mu.Lock()
	defer k.mu.Unlock()
	looked := l.kept && slices.Equal(l.book, now)
	l.Seen, l.kept, l.book = false, true, now
	k.trips.Add(l.Trip.ID, l)
	if looked {
		return
	}
	for _, p := range l.Trip.People {
		for _, a := range p.Addresses {
			if p.OnlyTrip && linkable(a) {
				k.last.Add(a, l.Trip.ID)
			}
		}
	}
}
