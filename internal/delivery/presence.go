package delivery

import (
	"context"
	"errors"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// presence tells every trip of an address that messages can't be delivered
// there, or can again. A group chat that is lost is no longer linked.
func (d *Door) presence(ctx context.Context, in Inbound) error {
	return d.everyTrip(ctx, in, func(s roster.Seat) work {
		if s.Person == "" {
			return d.groupPresence(in, s)
		}
		return work{trip: s.Trip, event: event(in, seating{Seat: s}), prepare: d.presenceIsNews}
	})
}

// groupPresence unlinks a group chat that is lost. One that takes us in again
// says so with "/link".
func (d *Door) groupPresence(in Inbound, s roster.Seat) work {
	return work{trip: s.Trip, event: conversation.Event{Kind: conversation.Moved, At: in.At},
		prepare: func(t *roster.Draft, _ *conversation.Event) error {
			if in.Kind != conversation.Lost || t.GroupChat != in.From {
				return errNothingToDo
			}
			return nil
		}}
}

// presenceIsNews holds back what the trip knows already: a hundred letters to
// a blocked chat are one piece of news.
func (d *Door) presenceIsNews(t *roster.Draft, ev *conversation.Event) error {
	p := t.Person(ev.Person)
	if p == nil || (p.Unreachable != "") == (ev.Kind == conversation.Lost) || t.Over(d.cfg.Now()) {
		return errNothingToDo
	}
	return nil
}

// moved rewrites the address of a group chat on the trips linked to it, and
// then the address's own record.
func (d *Door) moved(ctx context.Context, in Inbound) error {
	err := d.everyTrip(ctx, in, func(s roster.Seat) work {
		ev := conversation.Event{Kind: conversation.Moved, Address: in.Group, At: in.At}
		return work{trip: s.Trip, event: ev, prepare: func(t *roster.Draft, _ *conversation.Event) error {
			if t.GroupChat != in.From {
				return errNothingToDo
			}
			return nil
		}}
	})
	if err != nil {
		return err
	}
	return d.cfg.Addresses.Migrate(ctx, in.From, in.Group)
}

// everyTrip sends one event to every trip of an address; each has a source id
// of its own, so that a repeated delivery completes what is missing.
func (d *Door) everyTrip(ctx context.Context, in Inbound, do func(roster.Seat) work) error {
	seats, err := d.seats(ctx, in)
	if err != nil {
		return err
	}
	for _, s := range seats {
		w := do(s)
		w.event.Source = in.Source + ":" + string(s.Trip)
		err := d.commit(ctx, w)
		if err != nil && !errors.Is(err, roster.ErrNotFound) {
			return err
		}
	}
	return nil
}

func (d *Door) seats(ctx context.Context, in Inbound) ([]roster.Seat, error) {
	if in.Trip != "" && in.Person != "" {
		return []roster.Seat{{Trip: in.Trip, Person: in.Person}}, nil
	}
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	return route.Trips, err
}
