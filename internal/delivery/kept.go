package delivery

import (
	"sync"

	"github.com/hashicorp/golang-lru/v2/simplelru"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// How much is kept in memory: trips at about 100 KB with all that was worked out
// of them (BenchmarkKept in package roster), addresses at about 100 bytes.
const (
	keptTrips     = 300
	keptAddresses = 20_000
	mostSpoken    = 200 // languages as phones name them, far more than there are catalogues
)

// kept are trips as this process committed them last, so that the next event
// needs no load. One may be out of date when another process committed since:
// then the commit is a conflict and the trip is loaded.
//
// It also knows on which trip an address was last; see roster.Person.OnlyTrip
// for what makes that more than a guess.
type kept struct {
	mu    sync.Mutex
	trips *simplelru.LRU[roster.TripID, value]
	last  *simplelru.LRU[roster.Address, roster.TripID]

	spoken  map[string]bool       // languages of people on trips that were kept
	prepare func(language string) // of the first who speaks it
}

func newKept() *kept {
	trips, err := simplelru.NewLRU[roster.TripID, value](keptTrips, nil)
	last, err2 := simplelru.NewLRU[roster.Address, roster.TripID](keptAddresses, nil)
	if err != nil || err2 != nil {
		panic("delivery: a cache needs a size") // the constants above
	}
	return &kept{trips: trips, last: last, spoken: map[string]bool{}, prepare: prepare}
}

// prepare reads what it takes to understand and to write a language, so that the first
// diver who speaks it doesn't wait for that.
func prepare(language string) {
	go func() {
		conversation.Prepare(language)
		message.Prepare(language)
	}()
}

func (k *kept) get(id roster.TripID) (value, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.trips.Get(id)
}

func (k *kept) drop(id roster.TripID) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.trips.Remove(id)
}

// put keeps a trip as it is stored, and where its people were seen.
func (k *kept) put(v value) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.trips.Add(v.trip.ID, v)
	for _, p := range v.trip.People {
		if !k.spoken[p.Language] && len(k.spoken) < mostSpoken {
			k.spoken[p.Language] = true
			k.prepare(p.Language)
		}
		for _, a := range p.Addresses {
			if p.OnlyTrip && linkable(a) {
				k.last.Add(a, v.trip.ID)
			}
		}
	}
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
