package conversation

import (
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The boat check, and cylinders that were refilled or changed.

// openBoat is "/boat [DIVE]": it opens the boat check of a dive, and every diver
// is asked, or told to analyse again, as the policy says. One that is open is
// opened again only when that is said: what was read before is old then.
func openBoat(t *turn, args string) {
	dive := t.dive()
	if n, ok := t.diveTyped(args); ok {
		dive = n
	}
	switch {
	case t.trip.Dive(dive) == nil || t.trip.WasDived(dive):
		t.say(message.Say("boat.none", message.Args{"dive": message.Count(dive)}))
	case t.trip.BoatOpened(dive):
		b := t.board(dive)
		boat := t.trip.Dive(dive).Boat
		lines := []message.Line{message.Say("boat.open-since",
			message.Args{"at": t.clock(boat[len(boat)-1].At), "dive": message.Count(dive)})}
		t.send(message.Message{Lines: append(append(lines, t.missingLine(&b)...), message.Say("boat.again", nil)),
			Buttons: [][]message.Button{oneButton("lboat "+strconv.Itoa(dive)+" again", message.Say("boat.button.again", nil))}})
	default:
		t.openBoatOf(dive)
	}
}

func openBoatPressed(t *turn, args []string) {
	dive, err := strconv.Atoi(argument(args, 0))
	if again := argument(args, 1) == "again"; err != nil || t.trip.Dive(dive) == nil || !again {
		openBoat(t, argument(args, 0))
		return
	}
	t.openBoatOf(dive)
}

func (t *turn) openBoatOf(dive int) {
	if t.trip.Over(t.now) || !t.trip.OpenBoat(dive, t.me().ID, t.now) {
		t.questionOver()
		return
	}
	asked := t.askBoat(dive)
	b := t.board(dive)
	opened := "boat.opened"
	if asked == 0 {
		opened = "boat.opened.none"
	}
	lines := []message.Line{message.Loud(opened,
		message.Args{"dive": message.Count(dive), "count": message.Count(asked)})}
	lines = append(lines, t.awayLine(slices.DeleteFunc(t.owing(&b), canBeTold))...)
	m := message.Message{Lines: lines}
	if own, ok := t.boatMessage(t.me(), dive); ok {
		m.Lines, m.Buttons = append(m.Lines, own.Lines...), own.Buttons
		t.showed(t.me().ID, dive)
	}
	m.Buttons = append(m.Buttons, t.personButtons(&b)...)
	t.send(m)
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("boat.opened.by", message.Args{
		"leader": t.nameOf(t.me().ID), "dive": message.Count(dive)})}})
	t.queueMoves()
}

// askBoat asks all the others who owe something and can be written to, and tells
// how many that were.
func (t *turn) askBoat(dive int) (asked int) {
	b := t.board(dive)
	for _, p := range t.owing(&b) {
		if p.ID == t.me().ID || !canBeTold(p) {
			continue
		}
		if m, ok := t.boatMessage(p, dive); ok {
			asked++
			t.tell(p.ID, roster.LevelWord, true, m)
			t.showed(p.ID, dive) // the question says what the verdict waits for
		}
	}
	return asked
}

// keptFor records for a diver without a phone that their cylinders stayed in
// sight: the answer to the boat question, given aloud.
func keptFor(t *turn, p *roster.Person, _ string) {
	open := t.boatOpenOf(p)
	if len(open) == 0 {
		t.say(message.Say("kept.none", message.Args{"name": t.nameOf(p.ID), "command": message.Code("/boat")}))
		return
	}
	for _, c := range open {
		t.attended(c, roster.Kept)
	}
	lines := []message.Line{message.Say("kept.done",
		message.Args{"name": t.nameOf(p.ID), "cylinders": t.list(t.trip.Person(p.ID), t.asNow(open))})}
	t.say(append(lines, t.verdictLines(open[0].Dive, p)...)...)
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
	had := len(t.trip.Evidence(c.ID, t.now).Counting)
	t.trip.Fill(c.ID, t.now, t.me().ID, t.now)
	c = t.cylinder(c.ID)
	t.say(message.Say("refilled.done", message.Args{"cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID),
		"count": message.Count(had), "at": t.clock(t.now)}))
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("refilled.told", message.Args{
		"who": t.nameOf(t.me().ID), "cylinder": message.Of(cylinderName(c))})}})
	t.showed(p.ID, c.Dive)
}

// stateChangedWhich waits for which cylinder of a person was changed.
const stateChangedWhich State = "leader.changed"

// cylinderChanged notes that a person got another cylinder.
func cylinderChanged(t *turn, p *roster.Person, rest string) {
	in := p.InUse()
	label := strings.TrimSpace(rest)
	c := orders.Labelled(p, label)
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

// leaderSwapPressed is "swapped": who presses it saw the other cylinder.
func leaderSwapPressed(t *turn, args []string) {
	p, c := t.trip.Cylinder(roster.CylinderID(argument(args, 0)))
	if c == nil || !c.Retired.IsZero() || t.trip.Over(t.now) {
		t.questionOver()
		return
	}
	t.swap(p, c)
}

func (t *turn) swap(p *roster.Person, c *roster.Cylinder) {
	t.done()
	a := message.Args{"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c)), "who": t.nameOf(t.me().ID)}
	if t.trip.Swap(c.ID, "", t.me().ID, "", t.now) == nil {
		t.say(message.Say("changed.not", a))
		return
	}
	t.say(append([]message.Line{message.Say("changed.done", a)}, t.verdictLines(c.Dive, p)...)...)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("changed.told", a)}})
	t.showed(p.ID, c.Dive) // that it has to be analysed
}
