package rdb

import "gasmuster/internal/roster"

// Gathered is how many commits wait for the next pipeline.
func (s *Store) Gathered() int {
	n := 0
	for _, g := range s.commits {
		g.mu.Lock()
		n += len(g.waiting)
		g.mu.Unlock()
	}
	return n
}

// TripKey is where a trip is stored.
func TripKey(id roster.TripID) string { return tripKey("trip", id) }
