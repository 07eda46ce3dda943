package conversation

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a leader records of a person: a card that was seen, a sit-out and its
// end.

// cardSeen records that the leader saw the person's enriched-air card. Where
// the booking says that there is none it asks first: a slip of the finger
// must not clear a no-go.
func cardSeen(t *turn, p *roster.Person, _ string) {
	switch p.Card {
	case gas.CardSeen:
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
	t.trip.CardSeen(p.ID, t.me.ID, t.now)
	lines := []message.Line{message.Say("card.recorded", message.Args{"name": t.nameOf(p.ID)})}
	t.send(message.Message{Lines: append(lines, t.verdictLines([]*roster.Person{p})...), Buttons: [][]message.Button{
		oneButton("lcardback "+string(p.ID)+" "+string(was), message.Say("card.button.undo", nil))}})
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
	t.trip.SetCard(p.ID, was, t.me.ID, t.now)
	lines := []message.Line{message.Say("card.taken-back", message.Args{"name": t.nameOf(p.ID)})}
	t.say(append(lines, t.verdictLines([]*roster.Person{p})...)...)
}

// What /out and /back wait for: the reason.
const (
	stateOut  State = "leader.out"
	stateBack State = "leader.back"
)

type personData struct {
	Person roster.PersonID `json:"person"`
}

// sitOut takes a person off the dive, for a reason.
func sitOut(t *turn, p *roster.Person, rest string) {
	reason := clip(strings.TrimPrefix(rest, "because "), longestReason)
	switch {
	case p.Out != nil:
		t.say(message.Say("out.was-out", message.Args{"name": t.nameOf(p.ID), "reason": message.Of(reasonLine(p.Out.Reason)),
			"command": message.Code("/back")}))
	case !p.Active():
		t.say(message.Say("out.no-diver", message.Args{"name": t.nameOf(p.ID)}))
	case reason == "":
		t.ask(stateOut, personData{p.ID}, message.Message{Lines: []message.Line{message.Say("out.ask-reason", message.Args{"name": t.nameOf(p.ID)})}})
	default:
		t.done()
		t.trip.SitOut(p.ID, t.me.ID, reason, t.now)
		b := t.board()
		a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.me.ID), "reason": message.Of(reasonLine(reason)),
			"command": message.Code("/back")}
		lines := append([]message.Line{message.Loud("out.done", a), t.headline(&b), countsLine(&b)}, t.groupLines(&b)...)
		t.send(message.Message{Lines: lines, Buttons: t.boardButtons(&b)})
		t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("out.told", a)}})
		t.tellLeaders(message.Message{Lines: []message.Line{message.Say("out.by", a)}})
		t.queueMoves()
	}
}

func outTyped(t *turn, text string) { t.withPerson(text, sitOut) }

// backIn takes a sit-out back.
func backIn(t *turn, p *roster.Person, rest string) {
	reason := clip(strings.TrimPrefix(rest, "because "), longestReason)
	switch {
	case p.Out == nil:
		t.say(message.Say("back.not-out", message.Args{"name": t.nameOf(p.ID)}))
	case reason == "":
		t.ask(stateBack, personData{p.ID}, message.Message{Lines: []message.Line{message.Say("back.ask-reason", message.Args{"name": t.nameOf(p.ID)})}})
	default:
		t.done()
		t.trip.BackIn(p.ID, t.me.ID, reason, t.now)
		a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.me.ID), "reason": message.Of(reasonLine(reason))}
		lines := []message.Line{message.Loud("back.done", a)}
		t.say(append(lines, t.verdictLines([]*roster.Person{p})...)...)
		t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("back.told", a)}})
		t.tellLeaders(message.Message{Lines: []message.Line{message.Say("back.by", a)}})
	}
}

func backTyped(t *turn, text string) { t.withPerson(text, backIn) }

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
		run(t, p, text)
	}
}
