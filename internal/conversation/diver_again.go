package conversation

import (
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A number for a cylinder that has one: was the first one wrong, or was the
// cylinder analysed a second time? The first is a correction, the second a
// reading of its own, and they weigh differently. Until that is said the
// cylinder is not cleared.

// stateAgain waits for that answer; its data is whichData.
const stateAgain State = "diver.again"

func (t *turn) askAgain(d pendings, i int) {
	p := d.Items[i]
	c := t.mine(p.Cylinder)
	t.closeQuestion(d.Question, true)
	d.Question = t.openQuestion(roster.QuestionAgain, p.Percent, []*roster.Cylinder{c})
	m := t.againMessage(t.me(), t.mine(c.ID), p.Percent, d.Question)
	m.Buttons = append(m.Buttons, backButton(d.Question))
	t.ask(stateAgain, whichData{d, i}, m)
}

// againMessage asks what a second number is; its buttons carry the question.
func (t *turn) againMessage(p *roster.Person, c *roster.Cylinder, percent gas.Percent, id string) message.Message {
	a := message.Args{"cylinder": message.Of(t.calledBy(p, c)),
		"was":     message.Percent(t.trip.ShownOf(c.ID, t.now).Percent),
		"percent": message.Percent(percent)}
	return message.Message{
		Lines: []message.Line{message.Loud("diver.again", a), message.Say("diver.again.do", a)},
		Buttons: [][]message.Button{
			oneButton("again correct "+id, message.Say("diver.again.correct", nil)),
			oneButton("again again "+id, message.Say("diver.again.again", nil)),
		}}
}

func againPressed(t *turn, args []string) {
	h := how(argument(args, 0))
	q, open := t.questionBy(argument(args, 1))
	if !open || len(q.cylinders) == 0 || q.Kind != roster.QuestionAgain || (h != howNew && h != howCorrect) {
		t.questionGone()
		return
	}
	t.againIs(h, q)
}

// againIs takes the answer to a question: for what waits in the session, or if
// that was dropped for the number that the trip keeps.
func (t *turn) againIs(h how, q question) {
	var d whichData
	if t.session.State == stateAgain {
		t.data(&d)
	}
	if d.Pending.Question != q.ID || d.Item >= len(d.Pending.Items) {
		d = whichData{Pending: t.pendingOf(q)}
		d.Pending.Items[0].Cylinder = q.cylinders[0].ID
	}
	d.Pending.Items[d.Item].How = h
	t.settle(d.Pending)
}

func againTyped(t *turn, text string) {
	var d whichData
	t.data(&d)
	q, open := t.questionBy(d.Pending.Question)
	r := t.parse(text, 0)
	if said := t.againSaid(text); said != howUnknown && open && len(q.cylinders) > 0 {
		t.againIs(said, q)
		return
	}
	switch {
	case !open || len(q.cylinders) == 0 || len(r.Readings) > 0 || len(r.Unclear) > 0:
		t.freely(text)
	case r.Correction:
		t.againIs(howCorrect, q)
	case r.Again:
		t.againIs(howNew, q)
	case r.Intent == reply.Yes || r.Intent == reply.No:
		t.send(t.questionMessage(t.me(), q)) // neither answers a question of two: asked again
	default:
		t.freely(text)
	}
}

// shortestAgain is from how many letters the end of a button's words is taken for it.
const shortestAgain = 5

// againSaid is which of the two answers ends with the words that were typed: "wrong
// entry" and "a second time". Nothing that denies one does.
func (t *turn) againSaid(text string) how {
	words := bareWords(text)
	if len([]rune(words)) < shortestAgain || strings.ContainsAny(text, "?？؟") {
		return howUnknown
	}
	for key, is := range map[string]how{"diver.again.correct": howCorrect, "diver.again.again": howNew} {
		label := labels.Line(message.Say(key, nil), message.Reader{Language: t.me().Language})
		if strings.HasSuffix(bareWords(label), words) {
			return is
		}
	}
	return howUnknown
}
