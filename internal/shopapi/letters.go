package shopapi

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// Letters is what the API may look at of the outbox.
type Letters interface {
	// Waiting lists what a trip still has to say.
	Waiting(ctx context.Context, trip roster.TripID) ([]roster.Envelope, error)
	// DeadLetters lists what was never sent.
	DeadLetters(ctx context.Context, trip roster.TripID) ([]roster.DeadLetter, error)
}

// arrival is what became of a message to one person.
type arrival string

const (
	arrivedDelivered   arrival = "delivered"
	arrivedSending     arrival = "sending"     // stored, leaves as soon as the channel takes it
	arrivedNotSent     arrival = "not-sent"    // given up; reason says why
	arrivedNotJoined   arrival = "not-joined"  // has not opened the invite: it comes when they do
	arrivedUnreachable arrival = "unreachable" // blocked or gone; reason says why
	arrivedNotYet      arrival = "not-yet"     // its time has not come
)

// heardJSON says of one person whether a message reached them.
type heardJSON struct {
	ID     roster.PersonID `json:"id"`
	Name   string          `json:"name"`
	Leader bool            `json:"leader"`
	State  arrival         `json:"state"`
	At     time.Time       `json:"at,omitzero"` // when it was given to the channel or to its queue
	Reason string          `json:"reason,omitempty"`
	Invite *inviteJSON     `json:"invite,omitempty"` // of those not reached: hand it out again
}

// eveningKey begins every evening-before message.
const eveningKey = "diver.trip"

// announcements says of everybody who is still on the trip what became of
// their evening-before message.
func (a *api) announcements(ctx context.Context, t *roster.Trip) ([]heardJSON, error) {
	waiting, err := a.Letters.Waiting(ctx, t.ID)
	if err != nil {
		return nil, err
	}
	dead, err := a.Letters.DeadLetters(ctx, t.ID)
	if err != nil {
		return nil, err
	}
	list := []heardJSON{}
	for _, p := range t.People {
		if p.Erased || !p.Left.IsZero() {
			continue
		}
		one := a.heard(t, p)
		if one.State == arrivedDelivered {
			one.State, one.At, one.Reason = eveningOf(t, p.ID, waiting, dead)
		}
		list = append(list, one)
	}
	return list, nil
}

// heard is what can be said of any message to a person: delivered stands for
// nothing in the way.
func (a *api) heard(t *roster.Trip, p *roster.Person) heardJSON {
	out := heardJSON{ID: p.ID, Name: p.Name, Leader: p.Leader, State: arrivedDelivered}
	switch reachOf(p) {
	case reachNotJoined:
		out.State, out.Invite = arrivedNotJoined, a.invite(t.ID, p)
	case reachUnreachable:
		out.State, out.Reason, out.Invite = arrivedUnreachable, p.Unreachable, a.invite(t.ID, p)
	}
	return out
}

// eveningOf is the state of one person's evening-before message.
func eveningOf(t *roster.Trip, p roster.PersonID, waiting []roster.Envelope, dead []roster.DeadLetter) (arrival,
	time.Time, string) {
	sent := reminders.Announced(t, p)
	if sent.IsZero() {
		return arrivedNotYet, time.Time{}, ""
	}
	for _, e := range waiting {
		if e.Person == p && says(e, eveningKey) {
			return arrivedSending, sent, ""
		}
	}
	for _, d := range dead {
		if d.Person == p && !d.At.Before(sent) && says(d.Envelope, eveningKey) {
			return arrivedNotSent, d.At, d.Reason
		}
	}
	return arrivedDelivered, sent, ""
}

// says tells whether a letter has that line.
func says(e roster.Envelope, key string) bool {
	var m message.Message
	return json.Unmarshal(e.Payload, &m) == nil &&
		slices.ContainsFunc(m.Lines, func(l message.Line) bool { return l.Key == key })
}
