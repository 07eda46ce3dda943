package delivery

import (
	"context"
	"errors"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// start answers "/start CODE", which opens an invite, and a bare "/start" of
// somebody known, who is welcomed back.
func (d *Door) start(ctx context.Context, in Inbound, code string) (*Reply, error) {
	in.Kind, in.Text = conversation.Join, ""
	if code == "" {
		return d.act(ctx, in)
	}
	trip, person, ok := ParseInvite(code)
	if !ok {
		return nil, ErrInviteWrong
	}
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return nil, err
	}
	trips, _, err := d.load(ctx, personal(route.Trips), "")
	if err != nil {
		return nil, err
	}
	s := seating{Seat: roster.Seat{Trip: trip, Person: person}, route: route}
	err = d.commit(ctx, work{trip: trip, event: event(in, s), others: others(trips, trip, d.cfg.Now()),
		prepare: func(t *roster.Draft, _ *conversation.Event) error { return d.mayJoin(t, person, code, in.From, route) }})
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return nil, ErrInviteGone
	case errors.Is(err, ErrInviteUsed):
		if err := d.tellUsed(ctx, in, trip, person); err != nil {
			return nil, err
		}
	}
	return nil, err
}

// mayJoin judges an invite against the trip as it is now.
func (d *Door) mayJoin(t *roster.Draft, id roster.PersonID, code string, from roster.Address,
	route roster.Route) error {
	p, err := d.invited(t.Trip, id, code)
	if err != nil {
		return err
	}
	if hasAddress(p, from) {
		return nil // welcome back
	}
	if t.Over(d.cfg.Now()) {
		return ErrInviteGone
	}
	for _, a := range p.Addresses {
		if a.Channel == from.Channel && linkable(a) {
			return ErrInviteUsed
		}
	}
	if personAt(t.Trip, from) != nil {
		return ErrInviteTaken
	}
	if p.Units == "" && route.Units != "" {
		t.Edit(id).Units = route.Units // the person's own choice on an earlier trip
	}
	return nil
}

func (d *Door) invited(t *roster.Trip, id roster.PersonID, code string) (*roster.Person, error) {
	p := t.Person(id)
	if p == nil {
		return nil, ErrInviteWrong
	}
	if err := d.cfg.Invites.Verify(code, t.ID, p); err != nil {
		return nil, err
	}
	if p.Erased {
		return nil, ErrInviteGone
	}
	return p, nil
}

// Invited judges the token of a page: who it is for and on which trip. It
// returns ErrInviteWrong, ErrInviteGone or ErrInviteRevoked for one that opens
// nothing. A trip that is over can still be looked at until it is erased.
func (d *Door) Invited(ctx context.Context, token string) (*roster.Trip, *roster.Person, error) {
	trip, person, ok := ParseInvite(token)
	if !ok {
		return nil, nil, ErrInviteWrong
	}
	l, err := d.cfg.Store.Load(ctx, trip, "")
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return nil, nil, ErrInviteGone
	case err != nil:
		return nil, nil, err
	}
	p, err := d.invited(l.Trip, person, token)
	if err != nil {
		return nil, nil, err
	}
	return l.Trip, p, nil
}

// openPage notes that a page was opened for the first time.
func (d *Door) openPage(ctx context.Context, in Inbound) error {
	s := seating{Seat: roster.Seat{Trip: in.Trip, Person: in.Person}}
	err := d.commit(ctx, work{trip: in.Trip, event: event(in, s),
		prepare: func(t *roster.Draft, _ *conversation.Event) error {
			p := t.Person(in.Person)
			if p == nil || p.Erased || hasAddress(p, in.From) || t.Over(d.cfg.Now()) {
				return errNothingToDo
			}
			return nil
		}})
	if errors.Is(err, roster.ErrNotFound) {
		return errTripGone
	}
	return err
}

// tellUsed lets the leaders know that somebody's invite was tried from another
// account, once for each account: it may be a new phone, or the wrong person.
func (d *Door) tellUsed(ctx context.Context, in Inbound, trip roster.TripID, person roster.PersonID) error {
	ev := conversation.Event{Kind: conversation.Join, At: in.At,
		Source: "used:" + string(person) + ":" + d.cfg.Invites.blind(in.From)}
	err := d.commit(ctx, work{trip: trip, event: ev, step: d.lettersAboutUse(person)})
	return err
}

func (d *Door) lettersAboutUse(person roster.PersonID) func(conversation.Input) conversation.Result {
	return func(in conversation.Input) conversation.Result {
		// A change of nothing gives back the trip's wake-up.
		in.Event = conversation.Event{Kind: conversation.Changed, Change: &conversation.Change{}}
		r := d.cfg.Step(in)
		name := message.Name(in.Trip.Person(person).Name)
		lines := []message.Line{message.Loud("door.invite-used-leader", message.Args{"name": name}),
			message.Say("door.invite-used-do", message.Args{"name": name, "command": message.Code("/revoke")})}
		for _, l := range in.Trip.Leaders() {
			r.Letters = append(r.Letters, conversation.Letter{Person: l.ID, Level: roster.LevelWord, Safety: true,
				Message: message.Message{Lines: lines}})
		}
		return r
	}
}
