package conversation

import (
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a leader or the crew records of a person: a card that was seen.

// cardSeen records that the leader saw the person's enriched-air card. Where
// the booking says that there is none it asks first: a slip of the finger
// must not clear a no-go.
func cardSeen(t *turn, p *roster.Person, _ string) {
	switch p.Card {
	case gas.CardSeen:
		if t.cardSettles(p) {
			return
		}
		t.say(message.Say("card.was-seen", message.Args{"name": t.nameOf(p.ID)}))
	case gas.CardNone:
		t.send(message.Message{Lines: []message.Line{message.Say("card.booked-none", message.Args{"name": t.nameOf(p.ID)})},
			Buttons: [][]message.Button{
				oneButton("lcard "+string(p.ID), message.Say("card.button.yes", nil)),
				oneButton("lnocard", message.Say("card.button.no", nil)),
			}})
	default:
		t.recordCard(p)
	}
}

func cardPressed(t *turn, args []string) {
	p := t.personArg(args)
	if p == nil || p.Card == gas.CardSeen {
		t.questionOver()
		return
	}
	t.recordCard(p)
}

func (t *turn) recordCard(p *roster.Person) {
	was := p.Card
	a := message.Args{"name": t.nameOf(p.ID)}
	if !t.trip.CardSeen(p.ID, t.me().ID, t.now) {
		t.send(message.Message{Lines: []message.Line{message.Say("card.not", a)},
			Buttons: t.ownCardButton(t.clearance(p.ID, t.dive()))})
		return
	}
	t.settleCard(t.trip.Person(p.ID))
	lines := []message.Line{message.Say("card.recorded", a)}
	t.send(message.Message{Lines: append(lines, t.verdictLines(t.dive(), p)...), Buttons: [][]message.Button{
		oneButton("lcardback "+string(p.ID)+" "+string(was), message.Say("card.button.undo", nil))}})
}

// cardSettles ends what somebody said of having no card at hand, now that it was seen.
func (t *turn) cardSettles(p *roster.Person) bool {
	if !t.settleCard(p) {
		return false
	}
	t.saySettled(p)
	return true
}

// cardKept is the button "no" of the question above.
func cardKept(t *turn, _ []string) { t.say(message.Say("card.kept", nil)) }

// cardBack takes a card that was recorded by mistake back.
func cardBack(t *turn, args []string) {
	p := t.personArg(args)
	if p == nil || p.Card != gas.CardSeen || len(args) < 2 {
		t.questionOver()
		return
	}
	was := gas.Card(args[1])
	if was != gas.CardNone && was != gas.CardUnseen {
		t.questionOver()
		return
	}
	t.trip.SetCard(p.ID, was, t.me().ID, "", t.now)
	lines := []message.Line{message.Say("card.taken-back", message.Args{"name": t.nameOf(p.ID)})}
	t.say(append(lines, t.verdictLines(t.dive(), p)...)...)
}

type personData struct {
	Person roster.PersonID `json:"person"`
	Dive   int             `json:"dive,omitempty"` // 0 is the whole trip
}

// withPerson goes on with the person that the question was about.
func (t *turn) withPerson(text string, run personCommand) {
	var d personData
	t.data(&d)
	p := t.trip.Person(d.Person)
	switch {
	case t.cancelled(text):
	case p == nil:
		t.questionOver()
	default:
		if d.Dive > 0 {
			text = "dive " + strconv.Itoa(d.Dive) + " " + text
		}
		run(t, p, text)
	}
}
