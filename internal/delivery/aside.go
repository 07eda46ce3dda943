package delivery

import (
	"context"
	"encoding/json"
	"errors"
	"strings"

	"gasmuster/internal/conversation"
	"gasmuster/internal/conversation/newcomer"
	"gasmuster/internal/conversation/newtrip"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Dialogues beside any trip: with a host who starts one, and with somebody who opened
// an open invite. Their state is kept with the account for two hours. An answer
// goes straight back; what comes of the dialogue is a commit.

// talk is the state of a dialogue beside any trip.
type talk struct {
	Source  string         `json:"source"` // of the last answer: a redelivery says the same again
	NewTrip *newtrip.Form  `json:"new_trip,omitempty"`
	Join    *newcomer.Form `json:"join,omitempty"`
	Waits   roster.TripID  `json:"waits,omitempty"` // at this trip's open invite; nothing is asked any more
}

func readTalk(raw json.RawMessage) (k talk) {
	if json.Unmarshal(raw, &k) != nil {
		return talk{} // of another version: nothing is being asked
	}
	return k
}

// keep stores the state and gives back what is said.
func (d *Door) keep(ctx context.Context, in Inbound, k talk, m message.Message) (*Reply, error) {
	k.Source = in.Source
	if err := d.cfg.Addresses.Talk(ctx, in.From, mustJSON(k)); err != nil {
		return nil, err
	}
	return &Reply{Message: m, Language: in.Language}, nil
}

// endTalk forgets the state.
func (d *Door) endTalk(ctx context.Context, in Inbound) error {
	return d.cfg.Addresses.Talk(ctx, in.From, nil)
}

func said(in Inbound, lines ...message.Line) *Reply {
	return &Reply{Message: message.Message{Lines: lines}, Language: in.Language}
}

// asideButton tells whether a button belongs to a dialogue beside any trip.
func asideButton(do string) bool {
	verb, _, _ := strings.Cut(do, " ")
	return verb == newtrip.Verb || verb == newcomer.Verb
}

// errAside is that an account's words are the answer to a question beside any trip.
var errAside = errors.New("answers a dialogue beside any trip")

// answersAside tells whether a private text is the answer to what is being asked
// beside any trip. A command ends that: it answers whatever was asked before.
func (d *Door) answersAside(ctx context.Context, in Inbound, route roster.Route) (bool, error) {
	if route.Talk == nil || in.Kind != conversation.Text || in.Person != "" || in.Trip != "" {
		return false, nil
	}
	switch {
	case readTalk(route.Talk).Waits != "" && len(personal(route.Trips)) > 0: // what is typed is for that trip
		return false, nil
	case readTalk(route.Talk).Waits != "":
		return !strings.HasPrefix(strings.TrimSpace(in.Text), "/"), nil
	case strings.HasPrefix(strings.TrimSpace(in.Text), "/"):
		return false, d.endTalk(ctx, in)
	}
	return true, nil
}

// aside goes on with a dialogue beside any trip.
func (d *Door) aside(ctx context.Context, in Inbound) (*Reply, error) {
	route, err := d.cfg.Addresses.Route(ctx, in.From, "")
	if err != nil {
		return nil, err
	}
	if route.Language != "" {
		in.Language = route.Language
	}
	switch k := readTalk(route.Talk); {
	case k.NewTrip != nil:
		return toKnown(d.newTripOn(ctx, in, route, k))
	case k.Join != nil:
		return d.joinOn(ctx, in, k)
	case k.Waits != "" && in.Kind == conversation.Text:
		return d.labelled(ctx, in, k)
	}
	return said(in, message.Say("leader.question-over", nil)), nil
}
