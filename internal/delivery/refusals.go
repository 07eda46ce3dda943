package delivery

import (
	"errors"
	"fmt"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// faulted is what the person is told of an event that can't be handled. It is
// acknowledged: it must not block its queue for ever. Nothing of it was stored.
// The log gets the place and an id, never what was typed.
func (d *Door) faulted(in Inbound, f fault) *Reply {
	id := randomID(8)
	d.cfg.Log.Error("event could not be handled", "fault", id, "kind", in.Kind, "source", in.Source,
		"type", fmt.Sprintf("%T", f.value), "stack", string(f.stack))
	return d.reply(in, "door.fault", message.Args{"id": message.Code(id)})
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
	{errNoHost, "host.not"},
	{roster.ErrGateShut, "door.invite-gone"},
	{roster.ErrGateFull, "newcomer.full"},
	{roster.ErrGateRefused, "newcomer.refused-before"},
	{ErrTooMany, "newcomer.full"},
}
