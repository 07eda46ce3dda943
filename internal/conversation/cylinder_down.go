package conversation

import (
	"cmp"
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
//	/cylinder NAME LABEL [dive N]     /cylinder NAME LABEL off
//
// It is not analysed, so nothing is cleared by it. A label that was on the trip
// before brings its history along. One that waits for its label gets it instead.

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
	return [][]message.Button{oneButton("have "+strconv.Itoa(n),
		message.Say("diver.have.button", message.Args{"dive": message.Count(n)}))}
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
	case d.Dive == 0, d.Dive != t.without(t.me()), len(r.Readings) > 0 && !wholeNumber(text), r.Intent != reply.None ||
		r.Outside,
		!usableLabel(text), !t.isName(text, r):
		t.freely(text)
	default:
		t.have(d.Dive, t.labelIn(text))
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
	label, off := t.takeOff(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(label), ",")))
	if off {
		t.takeAway(p, dive, label)
		return
	}
	label = t.labelIn(label)
	bare := t.unnamed(p, dive)
	if bare != nil {
		dive = bare.Dive
	}
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
	case label == "" || !usableLabel(label) || rest == label && t.endsWithDive(label):
		t.say(message.Say("cylinder.how", a))
	case slices.ContainsFunc(p.InUse(), held):
		t.say(message.Say("cylinder.has", a))
	case bare != nil:
		t.nameCylinder(p, bare, label)
	case !p.Dives() || t.trip.WasDived(dive) || len(p.InUse()) >= roster.MaxCylinders:
		t.say(message.Say("cylinder.not", a))
	default:
		t.putDown(p, dive, label)
	}
}

func (t *turn) putDown(p *roster.Person, dive int, label string) {
	c := t.trip.AddCylinder(p.ID, dive, t.askedOf(p, label), label, t.me().ID, t.now)
	p = t.trip.Person(p.ID)
	t.sayPutDown(p, c, message.Say("cylinder.down", t.downArgs(p, c)))
}

// nameCylinder gives a cylinder the label that it waits for.
func (t *turn) nameCylinder(p *roster.Person, c *roster.Cylinder, label string) {
	if !t.trip.SetLabel(c.ID, label, t.me().ID, t.now) {
		t.say(message.Say("cylinder.not", message.Args{"name": t.nameOf(p.ID), "dive": message.Count(c.Dive)}))
		return
	}
	p, c = t.trip.Cylinder(c.ID)
	t.sayPutDown(p, c, message.Say("cylinder.labelled", t.downArgs(p, c)))
}

// unnamed is a person's cylinder that waits for its label, for a dive ahead or (0) the first; one that is not analysed
// before all others.
func (t *turn) unnamed(p *roster.Person, dive int) *roster.Cylinder {
	bare := filter(unlabelled(p), func(c *roster.Cylinder) bool {
		return t.openDive(c.Dive) &&
			(dive == 0 || c.Dive == dive)
	})
	slices.SortStableFunc(bare, func(a, b *roster.Cylinder) int {
		if t.read(a) != t.read(b) {
			return cmp.Compare(len(a.Readings), len(b.Readings))
		}
		return cmp.Compare(a.Dive, b.Dive)
	})
	if len(bare) == 0 {
		return nil
	}
	return bare[0]
}

// endsWithDive tells whether a label of several words ends with the number of a dive: "B9 2" may be B9 for dive 2.
func (t *turn) endsWithDive(label string) bool {
	words := strings.Fields(label)
	n, err := strconv.Atoi(words[len(words)-1])
	return len(words) > 1 && err == nil && t.trip.Dive(n) != nil
}

func (t *turn) sayPutDown(p *roster.Person, c *roster.Cylinder, line message.Line) {
	dive := c.Dive
	t.shown[standing{p.ID, dive}] = true
	cl := t.clearanceOf(c)
	t.send(message.Message{Lines: []message.Line{message.ClearedOf(t.trip.Trip, cl,
		message.Say("leader.choice.with", message.Args{
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
	return message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.actor), "cylinder": message.Of(cylinderName(c)),
		"dive": message.Count(c.Dive)}
}
