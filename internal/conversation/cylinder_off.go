package conversation

import (
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A cylinder that is not used after all: "/cylinder NAME LABEL off". Put down by mistake and never touched, it goes as
// if it had not been there. Else it is a leader's word, who is not its diver, that it is not dived; by anybody
// else what was found of it stays until such a leader says so.

// takeOff takes "off" off the end of a label.
func (t *turn) takeOff(label string) (string, bool) {
	words := strings.Fields(label)
	if len(words) == 0 || !orders.IsOff(t.english(words[len(words)-1])) {
		return label, false
	}
	return strings.TrimRight(strings.Join(words[:len(words)-1], " "), ",:"), true
}

func (t *turn) takeAway(p *roster.Person, dive int, label string) {
	c := t.awayFrom(p, dive, label)
	a := message.Args{"name": t.nameOf(p.ID), "typed": message.Name(label)}
	if c == nil || !t.trip.Retire(c.ID, t.me().ID, "", t.now) {
		t.say(message.Say("cylinder.off.not", a))
		return
	}
	p, c = t.trip.Cylinder(c.ID)
	lines := []message.Line{message.Say("cylinder.off", t.downArgs(p, c))}
	var m message.Message
	if c.LeftOn(c.Dive) {
		lines = append(lines, message.Say("cylinder.off.left", message.Args{"dive": message.Count(c.Dive)}))
		m.Buttons = row(notUsedButton(c, c.Dive))
	}
	m.Lines = lines
	t.say(append(slices.Clone(lines), t.verdictLines(c.Dive, p)...)...)
	t.tellLeaders(m)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: lines[:1]})
}

// notUsedButton is a leader's word that a cylinder which is gone is not dived.
func notUsedButton(c *roster.Cylinder, dive int) message.Button {
	return message.Button{Label: message.Say("news.button.not-used", message.Args{"dive": message.Count(dive)}),
		Do: "lmoved " + string(c.ID) + " " + strconv.Itoa(dive)}
}

// goneButtons offer it where a cylinder that is gone stands in the way, with its diver's name.
func (t *turn) goneButtons(b *roster.Board) [][]message.Button {
	var rows [][]message.Button
	for i := range b.People {
		cl := &b.People[i]
		for _, o := range cl.Owes {
			_, c := t.trip.Cylinder(o.Cylinder)
			if c == nil || !c.LeftOn(b.Dive) || !blocks(cl) || cl.Person == t.actor || len(c.Questions) > 0 ||
				len(rows) >= mostNeedButtons {
				continue
			}
			one := notUsedButton(c, b.Dive)
			one.Label = message.Say("leader.choice.with",
				message.Args{"name": t.nameOf(cl.Person), "cylinder": message.Of(one.Label)})
			if !slices.ContainsFunc(rows, func(r []message.Button) bool { return r[0].Do == one.Do }) {
				rows = append(rows, row(one)...)
			}
		}
	}
	return rows
}

// awayFrom is the cylinder of a person that is meant: of that label, or without one, on a dive or (0) any ahead; where
// there are two, the one that came last.
func (t *turn) awayFrom(p *roster.Person, dive int, label string) *roster.Cylinder {
	for _, c := range slices.Backward(p.InUse()) {
		if t.openDive(c.Dive) && (dive == 0 || c.Dive == dive) &&
			(sameLabel(c.Label, label) || label == "" && c.Label == "") {
			return c
		}
	}
	return nil
}
