package conversation

import (
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Another cylinder, or the same one filled again: what was read before counts
// no more.

// The states wait for which cylinder it is.
const (
	stateSwap   State = "diver.swap"
	stateRefill State = "diver.refill"
)

// change is one of the two.
type change struct {
	verb  string
	state State
	ask   string // key of the question
	do    func(t *turn, c *roster.Cylinder)
}

var (
	swapping  = change{"swap", stateSwap, "diver.swap.ask", (*turn).swapMine}
	refilling = change{"refill", stateRefill, "diver.refill.ask", (*turn).refillMine}
)

func (t *turn) newCylinder(label string) { t.replaceCylinder(swapping, label) }

func (t *turn) refilled(label string) { t.replaceCylinder(refilling, label) }

// replaceCylinder asks which cylinder it is. It is asked also when there is
// only one: it can't be undone.
func (t *turn) replaceCylinder(k change, label string) {
	if !t.mayRead() {
		return
	}
	cs := t.myCylinders()
	if c := t.labelledMine(label); c != nil {
		cs = []*roster.Cylinder{c}
	}
	a := message.Args{"count": message.Count(len(cs)), "cylinder": t.called(cs[0])}
	rows := t.cylinderButtons(k.verb, cs)
	if len(cs) == 1 {
		rows[0][0].Label = message.Say(k.ask+".yes", a)
	}
	t.ask(k.state, nil, message.Message{Lines: []message.Line{message.Loud(k.ask, a)},
		Buttons: append(rows, oneButton(k.verb+" none", message.Say("diver.no-change", nil)))})
}

func (t *turn) changePressed(k change, args []string) {
	if len(args) == 0 { // offered with a card: ask which
		t.replaceCylinder(k, "")
		return
	}
	if args[0] == "none" {
		t.done()
		t.say(message.Say("diver.cancelled", nil))
		return
	}
	c := t.mine(roster.CylinderID(args[0]))
	if c == nil || t.trip.CurrentDive() == 0 {
		t.questionGone()
		return
	}
	t.done()
	k.do(t, c)
}

func (t *turn) changeTyped(k change, text string) {
	cs := t.myCylinders()
	if c := t.cylinderNamed(text); c != nil {
		t.changePressed(k, []string{string(c.ID)})
		return
	}
	switch intent := t.parse(text, 0).Intent; {
	case intent == reply.Yes && len(cs) == 1:
		t.changePressed(k, []string{string(cs[0].ID)})
	case intent == reply.No || intent == reply.Cancel:
		t.changePressed(k, []string{"none"})
	default:
		t.freely(text)
	}
}

func swapPressed(t *turn, args []string)   { t.changePressed(swapping, args) }
func refillPressed(t *turn, args []string) { t.changePressed(refilling, args) }
func swapTyped(t *turn, text string)       { t.changeTyped(swapping, text) }
func refillTyped(t *turn, text string)     { t.changeTyped(refilling, text) }

func (t *turn) swapMine(c *roster.Cylinder) {
	old := t.calledBy(t.me, c)
	t.answered[t.me.ID] = true
	new := t.trip.Swap(c.ID, t.me.ID, "", t.now)
	if new == nil {
		t.questionGone()
		return
	}
	a := message.Args{"name": message.Name(t.me.Name), "old": message.Of(old), "dive": message.Count(c.Dive), "asked": message.Blend(c.Asked)}
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("diver.to-leader.swap", a)}})
	t.ask(stateRetype, retypeData{new.ID}, message.Message{Lines: []message.Line{message.Loud("diver.swap.done", a), message.Say("diver.swap.do", nil)}})
}

func (t *turn) refillMine(c *roster.Cylinder) {
	t.answered[t.me.ID] = true
	t.trip.Fill(c.ID, t.now, t.me.ID, t.now)
	a := message.Args{"name": message.Name(t.me.Name), "cylinder": t.called(c)}
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("diver.to-leader.refill", a)}})
	t.ask(stateRetype, retypeData{c.ID}, message.Message{Lines: []message.Line{message.Loud("diver.refill.done", a), message.Say("diver.refill.do", nil)}})
}
