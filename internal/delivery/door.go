// Package delivery is the one door in and the one door out.
//
//	channel / shop / clock --Inbound--> Door: dedupe, load, Step, commit --> stored outbox
//	stored outbox --> Postman: claim, limit, render and send by channel, retry --> channel
//
// It is one package because both doors hold to one stored form and one way to reach
// people: an envelope that the door in wrote is what the door out sends, and what that
// learns of an address comes in again.
//
//   - the door in: door.go (what comes in, and who answers), config.go, intake.go and
//     owner.go (the path of an event, top to bottom), route.go (who, and on which trip),
//     step.go and envelope.go (one event stepped, its messages as letters), kept.go (what
//     is remembered), refusals.go;
//   - who comes in otherwise: shop.go (the shop and the clock), group.go, presence.go,
//     erase.go, stranger.go;
//   - onto a trip: invite.go, codes.go, join.go, linker.go, links.go, and by questions
//     beside any trip aside.go, newcomers.go, host.go;
//   - the door out: postman.go (the loop), send.go (one letter), pace.go (limits), gate.go
//     (who is next to use them), answers.go (to people on no trip), websender.go;
//   - meter.go: what both count.
package delivery

import (
	"context"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Inbound is something a person did on a channel.
//
// Kind Join is a chat page opened by its link: the page has checked the invite
// (Door.Invited) and says Trip and Person; opening it again says nothing new.
// Kind Moved is a chat that got a new id: From is the old address and Group
// the new one. Kinds Lost and Found concern From, on every trip.
type Inbound struct {
	Kind     conversation.Kind // Text, Edited, Button, Join, Found, Lost or Moved
	Source   string            // unique: "tg:<update id>", "web:<person>:<client id>"
	Ref      string            // the message in its channel: "tg:<chat>:<message id>"; edits carry the same
	From     roster.Address    // the person's own address
	Group    roster.Address    // the group chat it was said in, zero for private
	Trip     roster.TripID     // a button's or page's trip, "" when not known
	Person   roster.PersonID   // known for pages (the link says it), "" otherwise
	At       time.Time
	Text     string
	Do       string
	Language string
	Photo    string // the channel's id of a photo that came with Text
	Name     string // what the account is called, to be confirmed by whoever joins; "" when not known
	Reason   string // of Lost: for the leader; no names
}

// Reply is an answer to somebody who is on no trip: it can't go through a
// trip's outbox, so the channel sends it itself, once, best effort. Known says that
// it is no stranger: a host, or somebody who is on trips.
type Reply struct {
	Message  message.Message
	Language string
	Known    bool
}

// Level is how much a reply is needed.
func (r Reply) Level() roster.Level {
	if r.Known {
		return roster.LevelAnswer
	}
	return roster.LevelStranger
}

// toKnown is a reply to somebody who is no stranger.
func toKnown(r *Reply, err error) (*Reply, error) {
	if r != nil {
		r.Known = true
	}
	return r, err
}

// Handler is what channels call. A nil error means that the event is stored
// (or was before, or needs no storing): only then may it be acknowledged.
type Handler interface {
	Handle(ctx context.Context, in Inbound) (*Reply, error)
}

// Outcome is what became of one send.
type Outcome struct {
	Result Result
	After  time.Duration  // for all but Sent and Never: how long to wait, 0 when the channel does not say
	Reason string         // for Never: for the leader and the log; no token, no text
	Moved  roster.Address // the address has changed to this one: stored ids are rewritten, then sent again
}

// Result is a send's result.
type Result string

// Sent; not now (this chat); not now (the whole channel); the far end says that
// it failed, so that it hardly arrived; no answer says what became of it; never
// (blocked, gone).
const (
	Sent   Result = "sent"
	Later  Result = "later"
	Paused Result = "paused"
	Failed Result = "failed"
	Unsure Result = "unsure"
	Never  Result = "never"
)

// Sender is a channel's way out.
type Sender interface {
	Channel() string
	Send(ctx context.Context, e roster.Envelope) Outcome
}
