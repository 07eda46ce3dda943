package conversation

import (
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The boat check, and cylinders that were refilled or changed.

// openBoat opens the boat check of the current dive: every diver is asked, or
// told to analyse again, as the policy says.
func openBoat(t *turn, _ string) {
	dive := t.trip.CurrentDive()
	if dive == 0 {
		t.say(message.Say("boat.all-signed", nil))
		return
	}
	if !t.trip.BoatOpen.IsZero() {
		b := t.board()
		lines := []message.Line{message.Say("boat.open-since", message.Args{"at": t.clock(t.trip.BoatOpen), "dive": message.Count(dive)})}
		t.say(append(lines, t.missingLine(&b)...)...)
		return
	}
	t.trip.OpenBoat(t.me.ID, t.now)
	b := t.board()
	asked := 0
	var not []*roster.Person
	for i := range b.People {
		pb := &b.People[i]
		p := t.trip.Person(pb.Person)
		switch {
		case !pb.Active || len(pb.Owes) == 0:
		case p.ID == t.me.ID || canBeTold(p):
			asked++
			m, ok := t.boatMessage(p, pb)
			if ok {
				t.tell(p.ID, roster.Urgent, true, m)
				t.answered[p.ID] = true // the question says what the verdict waits for
			}
		default:
			not = append(not, p)
		}
	}
	lines := []message.Line{message.Loud("boat.opened", message.Args{"dive": message.Count(dive),
		"site": message.Name(t.site(dive)), "count": message.Count(asked)})}
	lines = append(lines, message.Say("boat.policy."+string(t.trip.Policy.BoatCheck), nil))
	if len(not) > 0 {
		lines = append(lines, message.Say("nudge.not-reachable", message.Args{"count": message.Count(len(not)), "names": t.names(not)}))
	}
	t.say(lines...)
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("boat.opened.by", message.Args{
		"leader": t.nameOf(t.me.ID), "dive": message.Count(dive)})}})
	t.queueMoves()
}

func openBoatPressed(t *turn, _ []string) { openBoat(t, "") }

// keptFor records for a diver without a phone that their cylinders stayed in
// sight: the answer to the boat question, given aloud.
func keptFor(t *turn, p *roster.Person, _ string) {
	b := t.board()
	pb := b.Of(p.ID)
	var open []*roster.Cylinder
	if pb != nil {
		open = boatOwed(t.cylindersOf(p), pb)
	}
	if len(open) == 0 {
		t.say(message.Say("kept.none", message.Args{"name": t.nameOf(p.ID), "command": message.Code("/boat")}))
		return
	}
	for _, c := range open {
		t.trip.Attend(c.ID, roster.Kept, t.me.ID, t.now)
	}
	lines := []message.Line{message.Say("kept.done", message.Args{"name": t.nameOf(p.ID), "cylinders": t.list(p, open)})}
	t.say(append(lines, t.verdictLines([]*roster.Person{p})...)...)
}

// stateRefilled waits for the label of a refilled cylinder.
const stateRefilled State = "leader.refilled"

// refilled notes a fill or top-up: all earlier readings are void.
func refilled(t *turn, args string) {
	label := strings.TrimSpace(args)
	if label == "" {
		t.ask(stateRefilled, nil, message.Message{Lines: []message.Line{message.Say("refilled.ask", nil)}})
		return
	}
	found := t.trip.Labelled(label)
	switch len(found) {
	case 0:
		t.ask(stateRefilled, nil, message.Message{Lines: []message.Line{message.Say("refilled.unknown", message.Args{
			"typed": message.Name(label), "labels": t.labels()})}})
	case 1:
		t.refill(found[0])
	default: // two divers claim it: whose it is doesn't matter, both readings are void
		for _, c := range found {
			t.refill(c)
		}
	}
}

func refilledTyped(t *turn, text string) {
	if !t.cancelled(text) {
		refilled(t, text)
	}
}

// labels are all labels in use on the trip.
func (t *turn) labels() message.Value {
	var names []message.Value
	for _, p := range t.trip.People {
		for _, c := range p.InUse() {
			if c.Label != "" {
				names = append(names, message.Name(c.Label))
			}
		}
	}
	return message.List(names...)
}

func (t *turn) refill(c *roster.Cylinder) {
	t.done()
	p, _ := t.trip.Cylinder(c.ID)
	had := len(c.Valid())
	t.trip.Fill(c.ID, t.now, t.me.ID, t.now)
	t.say(message.Say("refilled.done", message.Args{"cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID),
		"count": message.Count(had), "at": t.clock(t.now)}))
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("refilled.told", message.Args{
		"who": t.nameOf(t.me.ID), "cylinder": message.Of(cylinderName(c))})}})
}

// stateChangedWhich waits for which cylinder of a person was changed.
const stateChangedWhich State = "leader.changed"

// cylinderChanged notes that a person got another cylinder.
func cylinderChanged(t *turn, p *roster.Person, rest string) {
	in := p.InUse()
	label := strings.TrimSpace(rest)
	c := labelled(p, label)
	switch {
	case c != nil:
		t.swap(p, c)
	case len(in) == 0:
		t.say(message.Say("for.no-cylinders", message.Args{"name": t.nameOf(p.ID)}))
	case len(in) == 1 && label == "":
		t.swap(p, in[0])
	default:
		m := message.Message{Lines: []message.Line{message.Say("changed.which", message.Args{"name": t.nameOf(p.ID)})}}
		if label != "" {
			m.Lines = append([]message.Line{message.Say("for.no-such-cylinder", message.Args{"name": t.nameOf(p.ID),
				"typed": message.Name(label), "cylinders": t.cylinderList(p)})}, m.Lines...)
		}
		for _, c := range in {
			m.Buttons = append(m.Buttons, oneButton("lswap "+string(c.ID), cylinderName(c)))
		}
		t.ask(stateChangedWhich, personData{Person: p.ID}, m)
	}
}

func changedTyped(t *turn, text string) { t.withPerson(text, cylinderChanged) }

func leaderSwapPressed(t *turn, args []string) {
	var d personData
	t.data(&d)
	if t.session.State != stateChangedWhich || len(args) == 0 {
		t.questionOver()
		return
	}
	p, c := t.trip.Cylinder(roster.CylinderID(args[0]))
	if c == nil || p.ID != d.Person || !c.Retired.IsZero() {
		t.questionOver()
		return
	}
	t.swap(p, c)
}

func (t *turn) swap(p *roster.Person, c *roster.Cylinder) {
	t.done()
	t.trip.Swap(c.ID, t.me.ID, "", t.now)
	a := message.Args{"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c)), "who": t.nameOf(t.me.ID)}
	t.say(message.Say("changed.done", a))
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("changed.told", a)}})
}
