package delivery

import (
	"context"
	"errors"

	"gasmuster/internal/roster"
)

// links are the addresses a trip is to be found by: those of its people and
// its linked group chat (whose seat names no person).
type links map[roster.Address]roster.Seat

// linksOf leaves pages out: a page's link says trip and person itself.
func linksOf(t *roster.Trip) links {
	found := links{}
	if linkable(t.GroupChat) {
		found[t.GroupChat] = roster.Seat{Trip: t.ID, Departs: t.Departs}
	}
	for _, p := range t.People {
		for _, a := range p.Addresses {
			if linkable(a) {
				found[a] = roster.Seat{Trip: t.ID, Person: p.ID, Departs: t.Departs}
			}
		}
	}
	return found
}

func linkable(a roster.Address) bool { return a.Channel != "" && a.Channel != Web }

// link writes new routes before the commit: a crash in between leaves a route
// that leads to a trip which does not know the address, which is harmless, and
// never somebody who joined and is not known any more.
func (d *Door) link(ctx context.Context, before, after links) error {
	for a, seat := range after {
		if was, known := before[a]; known && was.Person == seat.Person {
			continue
		}
		if err := d.cfg.People.Link(ctx, a, seat); err != nil {
			return err
		}
	}
	return nil
}

// unlink removes routes after the commit that took an address off the trip,
// and writes a moved departure to the routes that stay.
func (d *Door) unlink(ctx context.Context, before, after links) error {
	var errs []error
	for a, was := range before {
		seat, stays := after[a]
		switch {
		case !stays:
			errs = append(errs, d.cfg.People.Unlink(ctx, a, was.Trip))
		case !seat.Departs.Equal(was.Departs):
			errs = append(errs, d.cfg.People.Link(ctx, a, seat))
		}
	}
	return errors.Join(errs...)
}

// addressesOf are all addresses of a trip's people, pages too.
func addressesOf(t *roster.Trip) map[roster.Address]bool {
	all := map[roster.Address]bool{}
	for _, p := range t.People {
		for _, a := range p.Addresses {
			all[a] = true
		}
	}
	return all
}

// missing are the addresses that somebody had before and nobody has now: they
// forgot, or their link was revoked, and hear no more.
func missing(before, after map[roster.Address]bool) []roster.Address {
	var gone []roster.Address
	for a := range before {
		if !after[a] {
			gone = append(gone, a)
		}
	}
	return gone
}
