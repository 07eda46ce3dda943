package delivery

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Door is the one way in: it turns what came from a channel, the shop or the
// clock into an event of one trip and commits what conversation.Step makes of
// it. It is safe for concurrent use, also by many processes on one store.
//
// A newcomer finds: who and which trip in route.go, invites in join.go, the
// load-step-commit loop in commit.go, messages to addresses in envelope.go,
// the shop's and the clock's way in in shop.go.
type Door struct {
	cfg   DoorConfig
	turns turns
	kept  *kept
}

// DoorConfig is what a Door works with. Store, People and Invites are needed.
type DoorConfig struct {
	Store   roster.Store
	People  roster.People
	Pages   PageEraser    // erases the chat pages of somebody who asked to be forgotten; may be nil
	Traces  roster.Traces // takes them out of what others keep; may be nil
	Invites Invites
	Keep    time.Duration // a trip is erased this long after its last dive
	Evening string        // for new trips that bring none of their own
	Quiet   string

	Now   func() time.Time                             // default time.Now
	Step  func(conversation.Input) conversation.Result // default conversation.Step
	Kick  func()                                       // called after a commit that left messages in the outbox
	Wait  func(ctx context.Context, attempt int) error // between attempts after a conflict; default a jittered back-off
	Meter Meter                                        // default none
	Log   *slog.Logger                                 // default slog.Default()
}

// PageEraser is the part of a chat page store that /forget needs.
type PageEraser interface {
	Erase(ctx context.Context, trip roster.TripID, person roster.PersonID) error
}

// NewDoor makes a Door.
func NewDoor(c DoorConfig) *Door {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Step == nil {
		c.Step = conversation.Step
	}
	if c.Kick == nil {
		c.Kick = func() {}
	}
	if c.Wait == nil {
		c.Wait = backOff
	}
	if c.Meter == nil {
		c.Meter = noMeter{}
	}
	if c.Log == nil {
		c.Log = slog.Default()
	}
	if c.Keep <= 0 {
		c.Keep = 30 * 24 * time.Hour
	}
	// Instants as they come back from the store: what is kept in memory must
	// equal what another process loads.
	now := c.Now
	c.Now = func() time.Time { return now().Round(0).UTC() }
	return &Door{cfg: c, kept: newKept()}
}

// Handle takes what a person did on a channel. It returns nil only when the
// event is stored, was stored before or needs no storing; a Reply is for
// somebody who can't be answered through a trip's outbox.
func (d *Door) Handle(ctx context.Context, in Inbound) (reply *Reply, err error) {
	began := d.cfg.Now()
	defer func() { d.cfg.Meter.Received(in.From.Channel, string(in.Kind), d.cfg.Now().Sub(began), err) }()
	defer d.recovered(in, &reply, &err)
	in.At = in.At.Round(0).UTC()
	reply, err = d.admit(ctx, in)
	if said := refusal(err); said != "" {
		return d.reply(in, said, nil), nil
	}
	return reply, err
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
	case in.Kind == conversation.Text && command == "start":
		return d.start(ctx, in, rest)
	case in.Kind == conversation.Button && in.Do == "forget yes":
		return d.forget(ctx, in) // the one answer that concerns every trip
	}
	return d.act(ctx, in)
}

// act is everything that one person does to one trip.
func (d *Door) act(ctx context.Context, in Inbound) (*Reply, error) {
	if done, err := d.actOnOnly(ctx, in); done {
		return nil, err
	}
	seat, err := d.seat(ctx, in)
	if err != nil {
		return nil, err
	}
	err = d.commit(ctx, work{trip: seat.Trip, event: event(in, seat), others: seat.others, together: in.Source != "",
		prepare: func(t *roster.Trip, _ *conversation.Event) error { return knows(t, seat.Person, in.From) }})
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
	err = d.commit(ctx, work{trip: trip, event: event(in, seating{}), together: in.Source != "", prepare: func(t *roster.Trip, ev *conversation.Event) error {
		p := personAt(t, in.From)
		if p == nil || !p.OnlyTrip || t.Over(d.cfg.Now()) {
			return errElsewhere
		}
		ev.Person = p.ID
		return knows(t, p.ID, in.From)
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
		At: in.At, Text: in.Text, Do: in.Do, Language: in.Language, Reason: in.Reason,
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

// recovered turns a panic into an acknowledged event and words for the person:
// an event that can't be handled must not block its queue for ever. Nothing of
// it was stored. The log gets the place and an id, never what was typed.
func (d *Door) recovered(in Inbound, reply **Reply, err *error) {
	v := recover()
	if v == nil {
		return
	}
	id := randomID(8)
	d.cfg.Log.Error("event could not be handled", "fault", id, "kind", in.Kind, "source", in.Source,
		"type", fmt.Sprintf("%T", v), "stack", string(debug.Stack()))
	*reply, *err = d.reply(in, "door.fault", message.Args{"id": message.Code(id)}), nil
}

func (d *Door) reply(in Inbound, key string, a message.Args) *Reply {
	return &Reply{Message: message.Message{Lines: []message.Line{message.Say(key, a)}}, Language: in.Language}
}

// NotRecorded is what a channel tells a person when Handle returned an error
// and nobody will deliver the event again.
func NotRecorded() message.Message {
	return message.Message{Lines: []message.Line{message.Loud("door.not-recorded", nil)}}
}

// Refusals that people get to read; everything else is a fault of the store.
var (
	errUnknown   = errors.New("address is on no trip")
	errTripGone  = errors.New("trip is over and erased")
	errNotYours  = errors.New("not on that trip")
	errGroupOnly = errors.New("unknown person in a group chat")
	errForgotten = errors.New("everything was erased")
)

// refusal is the catalogue key of a refusal, "" for faults.
func refusal(err error) string {
	for _, r := range refusals {
		if errors.Is(err, r.err) {
			return r.key
		}
	}
	return ""
}

var refusals = []struct {
	err error
	key string
}{
	{errUnknown, "door.unknown"},
	{errTripGone, "door.trip-gone"},
	{errNotYours, "door.not-yours"},
	{errGroupOnly, "door.group-unknown"},
	{errForgotten, "door.forgotten"},
	{ErrInviteWrong, "door.invite-wrong"},
	{ErrInviteGone, "door.invite-gone"},
	{ErrInviteRevoked, "door.invite-revoked"},
	{ErrInviteUsed, "door.invite-used"},
	{ErrInviteTaken, "door.invite-taken"},
}
