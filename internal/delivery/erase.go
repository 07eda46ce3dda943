package delivery

import (
	"context"
	"encoding/json"
	"errors"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// forget erases somebody on every trip, with what others were told and wrote
// about them, then their own record. The answer can't go through an outbox,
// since no address is left.
func (d *Door) forget(ctx context.Context, in Inbound) (*Reply, error) {
	seats, err := d.seats(ctx, in)
	if err != nil {
		return nil, err
	}
	for _, s := range seats {
		if s.Person == "" {
			continue
		}
		if err := d.eraseOn(ctx, in, s); err != nil {
			return nil, err
		}
	}
	if err := d.leaveGate(ctx, in); err != nil {
		return nil, err
	}
	if linkable(in.From) {
		if err := d.cfg.Addresses.Forget(ctx, in.From); err != nil {
			return nil, err
		}
		d.kept.forget(in.From)
	}
	return nil, errForgotten
}

// eraseOn erases somebody on one trip. What others keep is rewritten before
// the trip forgets the name, so that an event that comes again after a crash
// completes it, and again afterwards, for what came in between.
func (d *Door) eraseOn(ctx context.Context, in Inbound, s roster.Seat) error {
	l, err := d.cfg.Store.Load(ctx, s.Trip, "")
	switch {
	case errors.Is(err, roster.ErrNotFound):
		return nil
	case err != nil:
		return err
	}
	shop, name := l.Trip.Shop, l.Trip.Redaction(s.Person)
	if _, err := d.redact(ctx, shop, s, name); err != nil {
		return err
	}
	ev := event(in, seating{Seat: s})
	ev.Kind, ev.Text, ev.Source = conversation.Forget, "", in.Source+":"+string(s.Trip)
	// Dialogue states are rewritten below, in the store alone.
	err = d.commit(ctx, work{trip: s.Trip, event: ev, forgets: true,
		prepare: func(t *roster.Draft, ev *conversation.Event) error {
			if r := t.Redaction(s.Person); t.Person(s.Person) != nil && !t.Person(s.Person).Erased {
				name = r // as it is called at that moment
			}
			ev.Erasing = name
			return nil
		}})
	if err != nil && !errors.Is(err, roster.ErrNotFound) {
		return err
	}
	if d.cfg.Pages != nil {
		if err := d.cfg.Pages.Erase(ctx, s.Trip, s.Person); err != nil {
			return err
		}
	}
	err = d.redactAll(ctx, shop, s, name)
	d.kept.drop(s.Trip) // what came in between has the dialogue states of before
	return err
}

// redactAll repeats until nothing changes or is on its way to a page meanwhile.
func (d *Door) redactAll(ctx context.Context, shop roster.ShopID, s roster.Seat, name roster.Redaction) error {
	for attempt := range maxAttempts {
		missed, err := d.redact(ctx, shop, s, name)
		if err != nil || missed == 0 {
			return err
		}
		if err := d.cfg.Wait(ctx, attempt); err != nil {
			return err
		}
	}
	d.cfg.Log.Warn("a page may still name somebody who was erased", "trip", s.Trip, "person", s.Person)
	return nil
}

func (d *Door) redact(ctx context.Context, shop roster.ShopID, s roster.Seat, name roster.Redaction) (missed int,
	err error) {
	if d.cfg.Traces == nil {
		return 0, nil
	}
	return d.cfg.Traces.Redact(ctx, shop, s.Trip, roster.Rewrite{
		Person: s.Person, Text: name.Text,
		Payload:  func(raw json.RawMessage) json.RawMessage { return withoutName(raw, name) },
		Leave:    lastWord,
		InFlight: func(a roster.Address) bool { return a.Channel == Web },
	})
}

func withoutName(raw json.RawMessage, name roster.Redaction) json.RawMessage {
	var m message.Message
	if json.Unmarshal(raw, &m) != nil {
		return raw
	}
	return mustJSON(message.Redact(m, name))
}

// lastWord is the letter by which leaders learn who has just left: it names
// them until it is sent, and is not kept anywhere.
func lastWord(e roster.Envelope) bool {
	return e.Address.Channel != Web && firstKey(e.Payload) == "diver.to-leader.forgot"
}

func firstKey(payload json.RawMessage) string {
	var m message.Message
	if json.Unmarshal(payload, &m) != nil || len(m.Lines) == 0 {
		return ""
	}
	return m.Lines[0].Key
}

// bare is a message of which only the keys are left: what was said to whom, not
// about whom. It is all that a dead letter is kept for.
func bare(payload json.RawMessage) json.RawMessage {
	var m, keys message.Message
	if json.Unmarshal(payload, &m) != nil {
		return nil
	}
	for _, l := range m.Lines {
		keys.Lines = append(keys.Lines, message.Line{Key: l.Key, Style: l.Style})
	}
	return mustJSON(keys)
}

// ErasePerson erases somebody on one trip, as a shop that was asked to. Elsewhere they
// stay who they are.
func (d *Door) ErasePerson(ctx context.Context, trip roster.TripID, person roster.PersonID, source string) error {
	l, err := d.cfg.Store.Load(ctx, trip, "")
	if err != nil {
		return err
	}
	p := l.Trip.Person(person)
	if p == nil {
		return roster.ErrNotFound
	}
	err = d.eraseOn(ctx, Inbound{Source: source, At: d.cfg.Now()}, roster.Seat{Trip: trip, Person: person})
	for _, a := range p.Addresses {
		if err == nil {
			err = d.cfg.Addresses.Unseat(ctx, a, trip)
		}
	}
	return err
}

// EraseTrip erases a trip at once, with everything about its people.
func (d *Door) EraseTrip(ctx context.Context, shop roster.ShopID, trip roster.TripID) error {
	err := d.cfg.Traces.EraseTrip(ctx, shop, trip)
	d.kept.drop(trip)
	return err
}
