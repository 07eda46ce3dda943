package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The card of who leads alone: nobody else may say that it was seen, so a diver looks at it and is named as the
// witness.
//
//	/witness WITNESS [NAME] card

func isCardWord(word string) bool { return strings.EqualFold(word, "card") }

// cardWitnessed records that a named witness saw the acting leader's card.
func (t *turn) cardWitnessed(witness *roster.Person, whose string) {
	p := t.me()
	if found, _, rest := orders.Named(t.trip.Trip, whose); len(found) == 1 && rest == "" {
		p = found[0]
	}
	t.done()
	a := message.Args{"name": t.nameOf(p.ID), "witness": t.nameOf(witness.ID)}
	switch {
	case p.Card == gas.CardSeen:
		t.say(message.Say("card.was-seen", a))
	case p.ID != t.actor || !t.trip.SetCard(p.ID, gas.CardSeen, t.actor, witness.ID, t.now):
		t.say(message.Say("card.not", a))
	default:
		t.send(message.Message{Lines: append([]message.Line{message.Say("card.witnessed", a)},
			t.verdictLines(t.dive(), p)...)})
		t.tellEach([]*roster.Person{witness}, message.Message{Lines: []message.Line{message.Loud("card.witnessed.told", a)}})
	}
}

// leadsAlone tells whether somebody is the only leader.
func (t *turn) leadsAlone(p *roster.Person) bool {
	return p.Leader && !slices.ContainsFunc(t.trip.People,
		func(o *roster.Person) bool { return o.ID != p.ID && o.Leader && o.Left.IsZero() })
}

// cardDo is what to do about a missing card: who leads alone has nobody to show it to but a diver.
func (t *turn) cardDo(p *roster.Person, do message.Line) message.Line {
	if do.Key == "do.show-card" && t.leadsAlone(p) {
		do.Key = "do.show-card-witness"
	}
	return do
}

// ownCardButton offers it where the acting leader's card is what is missing.
func (t *turn) ownCardButton(c *roster.Clearance) [][]message.Button {
	if c == nil || c.Person != t.actor || !t.leadsAlone(t.me()) || !owesCard(c) {
		return nil
	}
	return [][]message.Button{oneButton("lcardby", message.Say("card.button.witness", nil))}
}

func owesCard(c *roster.Clearance) bool { return slices.Contains(c.Needs, roster.NeedCard) }

// cardByPressed asks who looks at the acting leader's card, then records it.
func cardByPressed(t *turn, args []string) {
	if len(args) > 0 {
		p := t.personArg(args)
		if p == nil || p.ID == t.actor || p.Erased || !p.Left.IsZero() || argument(args, 1) != string(t.me().Card) {
			t.questionOver() // the card has been seen, or is another's
			return
		}
		t.cardWitnessed(p, "")
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("card.witness.who", nil)}}
	for _, p := range t.trip.People {
		if p.ID != t.actor && !p.Erased && p.Left.IsZero() && len(m.Buttons) < mostChoices {
			m.Buttons = append(m.Buttons, oneButton("lcardby "+string(p.ID)+" "+string(t.me().Card),
				message.Say("leader.choice", message.Args{"name": t.nameOf(p.ID)})))
		}
	}
	t.send(m)
}
