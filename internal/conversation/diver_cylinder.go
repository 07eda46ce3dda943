package conversation

import (
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// called is how a cylinder of the acting person is called to them.
func (t *turn) called(c *roster.Cylinder) message.Value { return message.Of(t.calledBy(t.me(), c)) }

// calledBy is how a cylinder is called to its diver: by its label; without
// one by its dive and what was asked for, as far as that is needed to tell it
// from the others.
func (t *turn) calledBy(p *roster.Person, c *roster.Cylinder) message.Line {
	if c.Label != "" {
		return message.Say("diver.cylinder.label", message.Args{"label": message.Name(c.Label)})
	}
	others := p.InUse()
	if len(others) <= 1 {
		return message.Say("diver.cylinder.only", nil)
	}
	a := message.Args{"dive": message.Count(c.Dive), "asked": message.Blend(c.Asked)}
	n, same := 0, 0
	for _, o := range others {
		if o.Label == "" && o.Dive == c.Dive && o.Asked == c.Asked {
			same++
			if o.ID == c.ID {
				n = same
			}
		}
	}
	switch {
	case same > 1:
		a["n"] = message.Count(n)
		return message.Say("diver.cylinder.nth", a)
	case c.Asked.Known():
		return message.Say("diver.cylinder.asked", a)
	}
	return message.Say("diver.cylinder.dive", a)
}

// labelledMine is the acting person's cylinder of that label, nil for none. Of
// one that was dived and is dived again it is the dive ahead.
func (t *turn) labelledMine(label string) *roster.Cylinder {
	var dived *roster.Cylinder
	for _, c := range t.myCylinders() {
		switch {
		case !sameLabel(c.Label, label):
		case !t.trip.WasDived(c.Dive):
			return c
		case dived == nil:
			dived = c
		}
	}
	return dived
}

func sameLabel(a, b string) bool { return roster.SameLabel(a, b) }

// mine is the acting person's cylinder of that id, nil when it is somebody
// else's or was changed for another.
func (t *turn) mine(id roster.CylinderID) *roster.Cylinder {
	for _, c := range t.myCylinders() {
		if c.ID == id {
			return c
		}
	}
	return nil
}

// cylinderButtons offer cylinders, one a row: Do is verb, id and the rest.
func (t *turn) cylinderButtons(verb string, cs []*roster.Cylinder, rest ...string) [][]message.Button {
	var rows [][]message.Button
	for _, c := range cs {
		do := strings.Join(append([]string{verb, string(c.ID)}, rest...), " ")
		rows = append(rows, oneButton(do, t.calledBy(t.me(), c)))
	}
	return rows
}

// questionGone answers a button or an answer whose question is over.
func (t *turn) questionGone() {
	t.send(t.expecting(message.Say("diver.question-gone", nil)))
}

// argument is the nth word of a button, "" when there is none.
func argument(args []string, n int) string {
	if n < len(args) {
		return args[n]
	}
	return ""
}
