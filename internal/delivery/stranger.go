package delivery

import (
	"context"
	"errors"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// Somebody who is on no trip and asks to be forgotten: what they said of themself is
// a dialogue, and a place at an open invite.

// forgetStranger forgets somebody on no trip at once: there is nothing to warn them
// of. Who is on one is asked there.
func (d *Door) forgetStranger(ctx context.Context, in Inbound) (*Reply, error) {
	if !linkable(in.From) {
		return d.act(ctx, in)
	}
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	switch {
	case err != nil:
		return nil, err
	case len(personal(route.Trips)) > 0 || route.Talk == nil:
		return d.act(ctx, in)
	}
	return d.forget(ctx, in)
}

// leaveGate takes somebody from the open invite at which they wait, and their name
// out of what leader and crew were told.
func (d *Door) leaveGate(ctx context.Context, in Inbound) error {
	if !linkable(in.From) {
		return nil
	}
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return err
	}
	trip := readTalk(route.Talk).Waits
	if trip == "" {
		return nil
	}
	l, err := d.cfg.Store.Load(ctx, trip, "")
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return nil
	case err != nil:
		return err
	}
	n := l.Trip.WaitsFrom(in.From)
	if n == nil {
		return nil
	}
	seat, name := roster.Seat{Trip: trip}, l.Trip.RedactionOfNewcomer(n.ID)
	if _, err := d.redact(ctx, l.Trip.Shop, seat, name); err != nil { // before the trip forgets the name, as in eraseOn
		return err
	}
	err = d.commit(ctx, work{trip: trip, event: conversation.Event{Kind: conversation.Changed,
		Source: in.Source + ":gate", At: d.cfg.Now(),
		Change: &conversation.Change{}}, prepare: func(t *roster.Draft, _ *conversation.Event) error {
		t.GoAway(in.From)
		return nil
	}})
	if err != nil && !errors.Is(err, roster.ErrNotFound) {
		return err
	}
	return d.redactAll(ctx, l.Trip.Shop, seat, name)
}
