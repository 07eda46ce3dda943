package delivery

import (
	"context"
	"errors"
	"iter"
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// book is who of a trip can be written to where: its linked group chat (whose
// entry names no person), then its people's addresses, pages too.
type book []entry

type entry struct {
	address roster.Address
	person  roster.PersonID
	departs time.Time
}

func bookOf(t *roster.Trip) book { return slices.Collect(entries(t)) }

func entries(t *roster.Trip) iter.Seq[entry] {
	return func(yield func(entry) bool) {
		if t.GroupChat != (roster.Address{}) && !yield(entry{t.GroupChat, "", t.Departs}) {
			return
		}
		for _, p := range t.People {
			for _, a := range p.Addresses {
				if !yield(entry{a, p.ID, t.Departs}) {
					return
				}
			}
		}
	}
}

// is tells whether the book is still that of t, as after most events.
func (b book) is(t *roster.Trip) bool {
	i := 0
	for e := range entries(t) {
		if i == len(b) || b[i] != e {
			return false
		}
		i++
	}
	return i == len(b)
}

func (b book) of(a roster.Address) *entry {
	for i := range b {
		if b[i].address == a {
			return &b[i]
		}
	}
	return nil
}

// linkable leaves pages out: a page's link says trip and person itself.
func linkable(a roster.Address) bool { return a.Channel != "" && a.Channel != Web }

// link writes new routes before the commit: a crash in between leaves a route
// that leads to a trip which does not know the address, which is harmless, and
// never somebody who joined and is not known any more.
func (d *Door) link(ctx context.Context, t *roster.Trip, before, after book) error {
	for _, e := range after {
		was := before.of(e.address)
		if !linkable(e.address) || was != nil && was.person == e.person {
			continue
		}
		if err := d.cfg.People.Link(ctx, e.address, roster.Seat{Trip: t.ID, Person: e.person, Departs: e.departs}); err != nil {
			return err
		}
		if err := d.settle(ctx, t, e); err != nil {
			return err
		}
	}
	return nil
}

// settle finds out whether the trip is the only one of an account that is new
// on it, after the route was written: of two joins at the same moment one sees
// the other's route at least. Trips that took themselves for the only one are
// told before this join is stored; see roster.Person.OnlyTrip.
func (d *Door) settle(ctx context.Context, t *roster.Trip, e entry) error {
	p := t.Person(e.person)
	if p == nil {
		return nil // a group chat
	}
	route, err := d.cfg.People.Route(ctx, e.address, "")
	if err != nil {
		return err
	}
	p.OnlyTrip = true
	for _, seat := range personal(route.Trips) {
		if seat.Trip == t.ID {
			continue
		}
		p.OnlyTrip = false
		if err := d.notOnly(ctx, seat, e.address); err != nil {
			return err
		}
	}
	return nil
}

// notOnly tells a trip that it is no longer the only one of an account. It
// takes no lock, so that two trips may tell each other at the same moment.
func (d *Door) notOnly(ctx context.Context, seat roster.Seat, a roster.Address) error {
	w := nothingChanged(seat.Trip, func(t *roster.Trip) error {
		p := t.Person(seat.Person)
		switch {
		case p == nil || hasAddress(p, a) && !p.OnlyTrip:
			return errNothingToDo
		}
		// Also while the account is not on it yet: a join that is under way
		// has to look again.
		p.OnlyTrip = false
		return nil
	})
	for attempt := range maxAttempts {
		_, err := d.once(ctx, w)
		switch {
		case errors.Is(err, roster.ErrNotFound):
			return nil
		case !errors.Is(err, roster.ErrConflict):
			return err
		}
		if err := d.cfg.Wait(ctx, attempt); err != nil {
			return err
		}
	}
	return ErrBusy
}

// unlink removes routes after the commit that took an address off the trip,
// and writes a moved departure to the routes that stay.
func (d *Door) unlink(ctx context.Context, t roster.TripID, before, after book) error {
	var errs []error
	for _, was := range before {
		if !linkable(was.address) {
			continue
		}
		switch now := after.of(was.address); {
		case now == nil:
			errs = append(errs, d.cfg.People.Unlink(ctx, was.address, t))
		case !now.departs.Equal(was.departs):
			errs = append(errs, d.cfg.People.Link(ctx, was.address, roster.Seat{Trip: t, Person: now.person, Departs: now.departs}))
		}
	}
	return errors.Join(errs...)
}

// missing are the addresses that somebody had before and nobody has now: they
// forgot, or their link was revoked, and hear no more.
func missing(before, after book) []roster.Address {
	var gone []roster.Address
	for _, e := range before {
		if e.person != "" && after.of(e.address) == nil {
			gone = append(gone, e.address)
		}
	}
	return gone
}
