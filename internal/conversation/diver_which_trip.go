package conversation

import (
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Somebody on several trips sends a number: it is for the trip that its label is
// of, else for the one whose readings are due now. Where several could be meant
// nothing is recorded before they say which.

// Claim is how much speaks for a text being meant for a trip.
type Claim int

// The claims, the weakest first.
const (
	NoClaim    Claim = iota // no number, or none is due there
	DueClaim                // a number, and one is due there now
	LabelClaim              // it names the label of a cylinder of the writer's there
)

// ClaimOf tells what speaks for a text of a person being meant for a trip.
func ClaimOf(trip *roster.Trip, p roster.PersonID, text string, now time.Time) Claim {
	t := newTurn(Input{Trip: trip, Event: Event{Kind: Text, Person: p, Text: text}, Now: now})
	if t.me() == nil || t.trip.Over(now) {
		return NoClaim
	}
	r := t.parse(text, 0)
	switch {
	case t.namesMine(r):
		return LabelClaim
	case isNumber(r) && t.dueNow():
		return DueClaim
	}
	return NoClaim
}

// namesMine tells whether a message names a label of the acting person's.
func (t *turn) namesMine(r reply.Result) bool {
	for _, x := range r.Readings {
		if t.labelledMine(x.Label) != nil {
			return true
		}
	}
	for _, x := range r.Monoxide {
		if t.labelledMine(x.Label) != nil {
			return true
		}
	}
	for _, d := range r.Unclear {
		if t.labelledMine(d.Label) != nil {
			return true
		}
	}
	return t.labelledMine(r.Label) != nil || t.labelledMine(r.MoveTo) != nil || len(r.Later) > 0
}

// isNumber tells whether a message gives a number, or what may be one.
func isNumber(r reply.Result) bool {
	doubted := len(r.Unclear) > 0 && r.Unclear[0].Why != reply.NotNumber
	return len(r.Readings) > 0 || r.AirPoint.Known() || len(r.Monoxide) > 0 || doubted
}

// dueNow tells whether the acting person owes a number that would count when it
// is read now, or is being asked about one.
func (t *turn) dueNow() bool {
	if len(t.questionsOf(t.me())) > 0 {
		return true
	}
	fresh := time.Duration(t.trip.Policy.FreshFor * float64(time.Hour))
	for _, c := range t.owedCylinders() {
		if t.trip.Starts(c.Dive).Sub(t.now) <= fresh {
			return true
		}
	}
	return false
}

// askTrip asks which trip a number is for. The answer is a button, and then the
// number again.
func (t *turn) askTrip() {
	m := message.Message{Lines: []message.Line{message.Loud("diver.trip.which", nil),
		message.Say("diver.trip.which.do", nil)}}
	here := OtherTrip{ID: t.trip.ID, Name: t.trip.Name, Departs: t.trip.Departs, Zone: t.trip.Zone}
	for _, o := range append([]OtherTrip{here}, t.in.Others...) {
		m.Buttons = append(m.Buttons, oneButton("talk "+string(o.ID), message.Say("diver.trip.switch", message.Args{
			"trip": message.Name(o.Name), "day": message.Day(o.Departs, o.Zone)})))
	}
	t.tell(t.me().ID, roster.LevelAnswer, true, m)
}
