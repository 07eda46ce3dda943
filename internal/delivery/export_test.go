package delivery

import "gasmuster/internal/roster"

// Waiting is how many events of a trip wait until its owner is free.
func (d *Door) Waiting(id roster.TripID) int {
	d.owners.mu.Lock()
	defer d.owners.mu.Unlock()
	return len(d.owners.waiting[id])
}

// Owned tells how many trips have an owner.
func (d *Door) Owned() int {
	d.owners.mu.Lock()
	defer d.owners.mu.Unlock()
	return len(d.owners.waiting)
}
