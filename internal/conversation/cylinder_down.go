package conversation

import (
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A cylinder put down for a dive that somebody has none for: by its diver, or by
// leader and crew with
//
//	/cylinder NAME LABEL [dive N]
//
// It is not analysed, so nothing is cleared by it. A label that was on the trip
// before brings its history along.

// stateHave waits for the label of a cylinder for a dive.
const stateHave State = "diver.have"

type haveData struct {
	Dive int `json:"dive"`
}

// without is the first dive ahead that a person dives and has no cylinder for, 0
// for none.
func (t *turn) without(p *roster.Person) int {
	for _, n := range t.ahead() {
		has := slices.ContainsFunc(p.InUse(), func(c *roster.Cylinder) bool { return c.Dive == n })
		if t.clearance(p.ID, n).Active && !has {
			return n
		}
	}
	return 0
}

// haveButtons offer to put a cylinder down where the acting person lacks one.
func (t *turn) haveButtons() [][]message.Button {
	n := t.without(t.me())
	if n == 0 || len(t.me().InUse()) >= roster.MaxCylinders || t.trip.Over(t.now) {
		return nil
	}
	return [][]message.Button{oneButton("have "+strconv.Itoa(n), message.Say("diver.have.button", message.Args{"dive": message.Count(n)}))}
}

// havePressed asks which cylinder it is; those that the diver had are offered.
func havePressed(t *turn, args []string) {
	dive := t.without(t.me())
	if dive == 0 || argument(args, 0) != strconv.Itoa(dive) {
		t.questionGone()
		return
	}
	if c := t.mine(roster.CylinderID(argument(args, 1))); c != nil && c.Label != "" {
		t.have(dive, c.Label)
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("diver.have.ask", message.Args{"dive": message.Count(dive)})}}
	for _, c := range t.me().InUse() {
		if c.Label != "" {
			m.Buttons = append(m.Buttons, oneButton("have "+strconv.Itoa(dive)+" "+string(c.ID), t.calledBy(t.me(), c)))
		}
	}
	t.ask(stateHave, haveData{dive}, m)
}

// haveTyped takes a short text as the label; a number with a decimal is none.
func haveTyped(t *turn, text string) {
	var d haveData
	t.data(&d)
	r := t.parse(text, 0)
	switch {
	case d.Dive == 0, d.Dive != t.without(t.me()), len(r.Readings) > 0 && !wholeNumber(text), r.Intent != reply.None || r.Outside,
		!usableLabel(text), !t.isName(text, r):
		t.freely(text)
	default:
		t.have(d.Dive, strings.TrimSpace(text))
	}
}

// have puts a cylinder down for the acting person and tells the leaders.
func (t *turn) have(dive int, label string) {
	t.done()
	me := t.me()
	c := t.trip.AddCylinder(me.ID, dive, t.askedOf(me, label), label, me.ID, t.now)
	t.showed(me.ID, dive)
	t.send(message.Message{Lines: t.standLines(t.me(), c)})
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("cylinder.down", t.downArgs(me, c))}})
}

// cylinderFor is "/cylinder NAME LABEL [dive N]".
func cylinderFor(t *turn, p *roster.Person, rest string) {
	dive, label := t.takeScope(rest)
	label = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(label), ","))
	if dive == 0 {
		dive = t.without(p)
	}
	if dive == 0 {
		dive = t.dive()
	}
	a := message.Args{"name": t.nameOf(p.ID), "command": message.Code("/cylinder"), "dive": message.Count(dive),
		"cylinder": message.Name(label)}
	held := func(c *roster.Cylinder) bool { return c.Dive == dive && sameLabel(c.Label, label) }
	switch {
	case !p.Dives() || t.trip.WasDived(dive) || len(p.InUse()) >= roster.MaxCylinders:
		t.say(message.Say("cylinder.not", a))
	case label == "" || !usableLabel(label):
		t.say(message.Say("cylinder.how", a))
	case slices.ContainsFunc(p.InUse(), held):
		t.say(message.Say("cylinder.has", a))
	default:
		t.putDown(p, dive, label)
	}
}

func (t *turn) putDown(p *roster.Person, dive int, label string) {
	c := t.trip.AddCylinder(p.ID, dive, t.askedOf(p, label), label, t.me().ID, t.now)
	p = t.trip.Person(p.ID)
	line := message.Say("cylinder.down", t.downArgs(p, c))
	t.shown[standing{p.ID, dive}] = true
	cl := t.clearanceOf(c)
	t.send(message.Message{Lines: []message.Line{message.ClearedOf(t.trip.Trip, cl, message.Say("leader.choice.with", message.Args{
		"name": t.nameOf(p.ID), "cylinder": message.Of(t.cylinderOn(c))})), line}})
	t.tellStaff(message.Message{Lines: []message.Line{line}})
	if p.ID != t.me().ID && canBeTold(p) {
		t.showed(p.ID, dive)
		t.tell(p.ID, roster.LevelWord, true, message.Message{Lines: append([]message.Line{line}, t.standLines(p, c)...)})
	}
}

// askedOf is what was asked for in a person's cylinder of that label, else in
// their last one; 0 when nothing was.
func (t *turn) askedOf(p *roster.Person, label string) gas.Percent {
	var asked gas.Percent
	for _, c := range p.InUse() {
		if asked = c.Asked; sameLabel(c.Label, label) {
			break
		}
	}
	return asked
}

func (t *turn) downArgs(p *roster.Person, c *roster.Cylinder) message.Args {
	return message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.actor), "cylinder": message.Of(cylinderName(c)), "dive": message.Count(c.Dive)}
}
