package delivery

import "gasmuster/internal/roster"

// Waiting is how many events of a trip wait for their turn.
func (d *Door) Waiting(id roster.TripID) int {
	d.turns.mu.Lock()
	defer d.turns.mu.Unlock()
	if q := d.turns.trips[id]; q != nil {
		return len(q.waiting)
	}
	return 0
}
