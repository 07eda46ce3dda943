package conversation

import (
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A reading far from what was asked for holds its diver back until leader and
// diver have planned again with the measured value; this is where the leader
// says that they have.

func replanned(t *turn, args string) {
	waiting := t.awaitingReplan()
	if len(waiting) == 0 {
		t.say(message.Say("replan.none", nil))
		return
	}
	if name := strings.TrimSpace(args); name != "" {
		waiting = t.replanOf(waiting, name)
		if len(waiting) == 0 {
			t.say(message.Say("replan.not-that", message.Args{"typed": message.Name(name),
				"command": message.Code("/replanned")}))
			return
		}
	}
	if len(waiting) == 1 && strings.TrimSpace(args) != "" {
		t.replan(waiting[0])
		return
	}
	m := message.Message{Lines: []message.Line{message.Say("replan.which", nil)}}
	for _, c := range waiting {
		p, _ := t.trip.Cylinder(c.ID)
		m.Buttons = append(m.Buttons, oneButton("lreplan "+string(c.ID), message.Say("replan.button", message.Args{
			"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c)),
			"percent": message.Percent(t.trip.ShownOf(c.ID, t.now).Percent)})))
	}
	t.send(m)
}

// awaitingReplan are the cylinders whose reading is too far from the request, of
// all dives that are ahead.
func (t *turn) awaitingReplan() []*roster.Cylinder {
	var found []*roster.Cylinder
	for _, n := range t.ahead() {
		b := t.board(n)
		for _, cl := range b.People {
			for _, f := range cl.Verdict.Findings {
				_, c := t.trip.Cylinder(roster.CylinderID(f.Cylinder))
				if f.Rule == gas.RuleAsked && f.Severity == gas.Limits && cl.Active && c != nil && t.read(c) {
					found = append(found, c)
				}
			}
		}
	}
	return found
}

// replanOf are those of cs that carry the label or belong to the name.
func (t *turn) replanOf(cs []*roster.Cylinder, typed string) []*roster.Cylinder {
	people, _, rest := orders.Named(t.trip.Trip, typed)
	var found []*roster.Cylinder
	for _, c := range cs {
		p, _ := t.trip.Cylinder(c.ID)
		if sameLabel(c.Label, typed) {
			return []*roster.Cylinder{c}
		}
		for _, q := range people {
			if p.ID == q.ID && (rest == "" || sameLabel(rest, c.Label)) {
				found = append(found, c)
			}
		}
	}
	return found
}

func replanPressed(t *turn, args []string) {
	for _, c := range t.awaitingReplan() {
		if len(args) > 0 && string(c.ID) == args[0] {
			t.replan(c)
			return
		}
	}
	t.questionOver()
}

func (t *turn) replan(c *roster.Cylinder) {
	p, _ := t.trip.Cylinder(c.ID)
	a := message.Args{"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c)),
		"percent": message.Percent(t.trip.ShownOf(c.ID, t.now).Percent), "who": t.nameOf(t.me().ID)}
	if !t.trip.Replan(c.ID, t.me().ID, t.now) {
		t.say(message.Say("replan.not", a))
		return
	}
	lines := []message.Line{message.Say("replan.done", a)}
	t.say(append(lines, t.verdictLines(c.Dive, p)...)...)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Say("replan.told", a)}})
}
