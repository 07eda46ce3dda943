package conversation

import (
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// A number for a cylinder that has one: was the first one wrong, or was the
// cylinder analysed a second time? The first is a correction, the second a
// reading of its own, and they weigh differently.

// stateAgain waits for that answer; its data is whichData.
const stateAgain State = "diver.again"

func (t *turn) askAgain(d pendings, i int) {
	p := d.Items[i]
	c := t.mine(p.Cylinder)
	last := c.Current()
	a := message.Args{"cylinder": t.called(c), "was": message.Percent(last.Percent), "percent": message.Percent(p.Percent)}
	again := oneButton("again again", message.Say("diver.again.again", nil))
	if last.Percent == p.Percent {
		t.ask(stateAgain, whichData{d, i}, message.Message{
			Lines: []message.Line{message.Loud("diver.again.same", a), message.Say("diver.again.same.do", nil)}, Buttons: [][]message.Button{again}})
		return
	}
	t.ask(stateAgain, whichData{d, i}, message.Message{
		Lines:   []message.Line{message.Loud("diver.again", a), message.Say("diver.again.do", a)},
		Buttons: [][]message.Button{oneButton("again correct", message.Say("diver.again.correct", nil)), again}})
}

func againPressed(t *turn, args []string) {
	h := how(argument(args, 0))
	if t.session.State != stateAgain || (h != howNew && h != howCorrect) {
		t.questionGone()
		return
	}
	t.againIs(h)
}

func (t *turn) againIs(h how) {
	var d whichData
	t.data(&d)
	if d.Item >= len(d.Pending.Items) {
		t.done()
		t.questionGone()
		return
	}
	d.Pending.Items[d.Item].How = h
	t.settle(d.Pending)
}

func againTyped(t *turn, text string) {
	r := t.parse(text, 0)
	switch {
	case len(r.Readings) > 0 || len(r.Unclear) > 0:
		t.freely(text)
	case r.Correction || r.Intent == reply.No:
		t.againIs(howCorrect)
	case r.Again:
		t.againIs(howNew)
	case r.Intent == reply.Yes:
		var d whichData
		t.data(&d)
		t.settle(d.Pending) // "yes" to a question of two: asked again
	default:
		t.freely(text)
	}
}
