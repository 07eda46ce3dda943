package delivery

import (
	"context"
	"errors"
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

func bookOf(t *roster.Trip) book {
	b := make(book, 0, 1+len(t.People))
	if t.GroupChat != (roster.Address{}) {
		b = append(b, entry{t.GroupChat, "", t.Departs})
	}
	for _, p := range t.People {
		for _, a := range p.Addresses {
			b = append(b, entry{a, p.ID, t.Departs})
		}
	}
	return b
}

// after is the book of what became of a trip: the same one while its people have
// the addresses that they had.
func (b book) after(was, is *roster.Trip) book {
	same := func(p, q *roster.Person) bool {
		return p == q || p.ID == q.ID && slices.Equal(p.Addresses, q.Addresses)
	}
	if was.GroupChat == is.GroupChat && was.Departs.Equal(is.Departs) && slices.EqualFunc(was.People, is.People, same) {
		return b
	}
	return bookOf(is)
}

// is tells whether two books are one.
func (b book) is(o book) bool { return len(b) == len(o) && (len(b) == 0 || &b[0] == &o[0]) }

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

// linkAll writes new routes before the commit: a crash in between leaves a
// route that leads to a trip which does not know the address, which is harmless,
// and never somebody who joined and is not known any more.
func (d *Door) linkAll(ctx context.Context, b *batch) error {
	before := b.done[0].before
	if before.is(b.book) {
		return nil
	}
	for _, e := range b.book {
		was := before.of(e.address)
		if !linkable(e.address) || was != nil && was.person == e.person {
			continue
		}
		if err := d.link(ctx, b, e); err != nil {
			return err
		}
	}
	return nil
}

func (d *Door) link(ctx context.Context, b *batch, e entry) error {
	err := d.cfg.Addresses.Seat(ctx, e.address, roster.Seat{Trip: b.trip.ID, Person: e.person, Departs: e.departs})
	if err != nil || e.person == "" {
		return err
	}
	only, err := d.settle(ctx, b.trip.ID, e.address)
	if p := b.trip.Person(e.person); err == nil && p.OnlyTrip != only {
		draft := roster.Change(b.trip)
		draft.Edit(e.person).OnlyTrip = only
		b.trip = draft.Done()
		b.commit.Trip = b.trip
	}
	return err
}

// settle finds out whether the trip is the only one of an account that is new
// on it, after the route was written: of two joins at the same moment one sees
// the other's route at least. Trips that took themselves for the only one are
// told before this join is stored; see roster.Person.OnlyTrip.
func (d *Door) settle(ctx context.Context, trip roster.TripID, a roster.Address) (only bool, err error) {
	route, err := d.cfg.Addresses.Route(ctx, a, "")
	if err != nil {
		return false, err
	}
	only = true
	for _, seat := range personal(route.Trips) {
		if seat.Trip == trip {
			continue
		}
		only = false
		if err := d.notOnly(ctx, seat, a); err != nil {
			return false, err
		}
	}
	return only, nil
}

// notOnly tells a trip that it is no longer the only one of an account. It goes
// past that trip's owner, who may be telling this one the same at this moment:
// the version holds the two apart.
func (d *Door) notOnly(ctx context.Context, seat roster.Seat, a roster.Address) error {
	w := nothingChanged(seat.Trip, func(t *roster.Draft) error {
		p := t.Person(seat.Person)
		if p == nil || hasAddress(p, a) && !p.OnlyTrip {
			return errNothingToDo
		}
		// Also while the account is not on it yet: a join that is under way
		// has to look again.
		t.Edit(p.ID).OnlyTrip = false
		return nil
	})
	r := &request{work: w, answer: make(chan answer, 1)}
	d.serve(seat.Trip, []*request{r})
	err := (<-r.answer).err
	if errors.Is(err, roster.ErrNotFound) {
		return nil
	}
	return err
}

// unlink removes routes after the commit that took an address off the trip,
// and writes a moved departure to the routes that stay.
func (d *Door) unlink(ctx context.Context, t roster.TripID, before, after book) error {
	if before.is(after) {
		return nil
	}
	var errs []error
	for _, was := range before {
		if !linkable(was.address) {
			continue
		}
		switch now := after.of(was.address); {
		case now == nil:
			errs = append(errs, d.cfg.Addresses.Unseat(ctx, was.address, t))
		case !now.departs.Equal(was.departs):
			errs = append(errs, d.cfg.Addresses.Seat(ctx, was.address,
				roster.Seat{Trip: t, Person: now.person, Departs: now.departs}))
		}
	}
	return errors.Join(errs...)
}

// missing are the addresses that somebody had before and nobody has now: they
// forgot, or their link was revoked, and hear no more.
func missing(before, after book) []roster.Address {
	if before.is(after) {
		return nil
	}
	var gone []roster.Address
	for _, e := range before {
		if e.person != "" && after.of(e.address) == nil {
			gone = append(gone, e.address)
		}
	}
	return gone
}
