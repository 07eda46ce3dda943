package delivery

import (
	"context"
	"errors"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// group takes what somebody typed in a group chat to the trip it is about: the
// one a button names, the one linked to that chat, else (for "/link") one that the person leads, else
// the nearest departure.
func (d *Door) group(ctx context.Context, in Inbound) (*Reply, error) {
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return nil, err
	}
	mine := personal(route.Trips)
	trips, _, err := d.load(ctx, mine, "")
	if err != nil {
		return nil, err
	}
	t := d.groupTrip(in, mine, trips)
	switch {
	case in.Trip != "" && (t == nil || t.ID != in.Trip):
		return nil, errNotYours
	case t == nil:
		return nil, errGroupOnly
	}
	ev := event(in, seating{Seat: *find(mine, t.ID), route: route})
	if in.Kind != conversation.Button {
		ev.Kind = conversation.GroupText
	}
	ev.Address = in.Group
	err = d.commit(ctx, work{trip: t.ID, event: ev, others: others(trips, t.ID, d.cfg.Now()),
		prepare: func(t *roster.Draft, _ *conversation.Event) error { return knows(t.Trip, ev.Person, in.From) }})
	if errors.Is(err, roster.ErrNotFound) {
		err = errTripGone
	}
	return nil, err
}

func (d *Door) groupTrip(in Inbound, mine []roster.Seat, trips []*roster.Trip) *roster.Trip {
	var nearest, leads *roster.Trip
	now := d.cfg.Now()
	for _, t := range trips {
		if t.ID == in.Trip || in.Trip == "" && t.GroupChat == in.Group {
			return t
		}
		if t.Over(now) {
			continue
		}
		if nearest == nil {
			nearest = t
		}
		if p := t.Person(find(mine, t.ID).Person); leads == nil && p != nil && p.Leader {
			leads = t
		}
	}
	if command, _ := splitCommand(in.Text); command == "link" && leads != nil {
		return leads
	}
	return nearest
}
