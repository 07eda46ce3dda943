package delivery

import (
	"context"
	"errors"
	"strings"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// The path of an event, top to bottom:
//
//	Handle   what came from a channel; answers for whoever is on no trip
//	admit    which kind of thing it is
//	act      who acts and on which trip (route.go)
//	commit   hands it to the trip's owner (owner.go), and waits

// Handle takes what a person did on a channel. It returns nil only when the
// event is stored, was stored before or needs no storing; a Reply is for
// somebody who can't be answered through a trip's outbox.
func (d *Door) Handle(ctx context.Context, in Inbound) (reply *Reply, err error) {
	began := d.cfg.Now()
	defer func() { d.cfg.Meter.Received(in.From.Channel, string(in.Kind), d.cfg.Now().Sub(began), err) }()
	in.At = instant(in.At)
	reply, err = d.admitted(ctx, in)
	if f := (fault{}); errors.As(err, &f) {
		return d.faulted(in, f), nil
	}
	if said := refusal(err); said != "" {
		reply = d.reply(in, said, nil)
		reply.Known = errors.Is(err, errTripGone) || errors.Is(err, errNotYours)
		return reply, nil
	}
	return reply, err
}

// admitted is admit, with a panic on the way as an error.
func (d *Door) admitted(ctx context.Context, in Inbound) (_ *Reply, err error) {
	defer caught(&err)
	return d.admit(ctx, in)
}

// admit sends every kind of inbound on its way.
func (d *Door) admit(ctx context.Context, in Inbound) (*Reply, error) {
	command, rest := splitCommand(in.Text)
	private := in.Group == (roster.Address{})
	switch {
	case in.Kind == conversation.Moved:
		return nil, d.moved(ctx, in)
	case in.Kind == conversation.Lost || in.Kind == conversation.Found:
		return nil, d.presence(ctx, in)
	case in.Kind == conversation.Join:
		return nil, d.openPage(ctx, in)
	case in.Kind == conversation.Button && strings.HasPrefix(in.Do, "talk "):
		return d.talk(ctx, in, roster.TripID(strings.TrimSpace(in.Do[len("talk "):])))
	case !private:
		return d.group(ctx, in)
	case in.Kind == conversation.Button && asideButton(in.Do):
		return d.aside(ctx, in)
	case in.Kind == conversation.Text && command == "newtrip":
		return toKnown(d.newTrip(ctx, in, rest))
	case in.Kind == conversation.Text && command == "start" && strings.HasPrefix(rest, hostPrefix):
		return toKnown(d.becomeHost(ctx, in, rest))
	case in.Kind == conversation.Text && command == "start" && strings.HasPrefix(rest, openPrefix):
		return d.joinOpen(ctx, in, rest)
	case in.Kind == conversation.Text && command == "start":
		return d.start(ctx, in, rest)
	case in.Kind == conversation.Button && in.Do == "forget yes":
		return d.forget(ctx, in) // the one answer that concerns every trip
	case in.Kind == conversation.Text && command == "forget":
		return d.forgetStranger(ctx, in)
	}
	return d.act(ctx, in)
}

// act is everything that one person does to one trip.
func (d *Door) act(ctx context.Context, in Inbound) (*Reply, error) {
	if done, err := d.actOnOnly(ctx, in); done {
		return nil, err
	}
	seat, err := d.seat(ctx, in)
	if errors.Is(err, errAside) {
		return d.aside(ctx, in)
	}
	if err != nil {
		return nil, err
	}
	err = d.commit(ctx, work{trip: seat.Trip, event: event(in, seat), others: seat.others,
		prepare: func(t *roster.Draft, _ *conversation.Event) error { return knows(t.Trip, seat.Person, in.From) }})
	if errors.Is(err, roster.ErrNotFound) {
		err = errTripGone
	}
	return nil, err
}

// actOnOnly acts without reading the address's record, which costs a round
// trip: when the trip that the address was last on says itself that it is its
// only one. It is not done when there is no such trip any more.
func (d *Door) actOnOnly(ctx context.Context, in Inbound) (done bool, err error) {
	trip, known := d.kept.lastOf(in.From)
	// Who comes back with /start may have chosen a language elsewhere.
	if !known || in.Person != "" || in.Kind == conversation.Join || in.Trip != "" && in.Trip != trip {
		return false, nil
	}
	err = d.commit(ctx, work{trip: trip, event: event(in, seating{}),
		prepare: func(t *roster.Draft, ev *conversation.Event) error {
			p := personAt(t.Trip, in.From)
			if p == nil || !p.OnlyTrip || t.Over(d.cfg.Now()) {
				return errElsewhere
			}
			ev.Person = p.ID
			return knows(t.Trip, p.ID, in.From)
		}})
	if errors.Is(err, errElsewhere) || errors.Is(err, roster.ErrNotFound) {
		d.kept.forget(in.From)
		return false, nil
	}
	return true, err
}

var errElsewhere = errors.New("not known to be the only trip of this address")

func personAt(t *roster.Trip, a roster.Address) *roster.Person {
	for _, p := range t.People {
		if hasAddress(p, a) {
			return p
		}
	}
	return nil
}

// knows holds the door shut for an address that the trip itself does not know:
// a route alone, left over from an interrupted join or a removal, opens nothing.
func knows(t *roster.Trip, id roster.PersonID, from roster.Address) error {
	p := t.Person(id)
	switch {
	case p == nil:
		return errNotYours
	case p.Erased:
		return errForgotten
	case linkable(from) && !hasAddress(p, from):
		return errUnknown
	}
	return nil
}

func event(in Inbound, s seating) conversation.Event {
	e := conversation.Event{
		Kind: in.Kind, Source: in.Source, Ref: in.Ref, Person: s.Person, Address: in.From,
		At: in.At, Text: in.Text, Do: in.Do, Language: in.Language, Reason: in.Reason, AnyTrip: s.anyTrip, Photo: in.Photo,
	}
	if s.route.Language != "" {
		e.Language = s.route.Language
	}
	return e
}

// splitCommand takes "/name@bot rest" apart; name is "" for other text.
func splitCommand(text string) (name, rest string) {
	text = strings.TrimSpace(text)
	if !strings.HasPrefix(text, "/") {
		return "", ""
	}
	name, rest = text[1:], ""
	if i := strings.IndexAny(name, " \t\n"); i >= 0 {
		name, rest = name[:i], strings.TrimSpace(name[i:])
	}
	name, _, _ = strings.Cut(strings.ToLower(name), "@")
	return name, rest
}
