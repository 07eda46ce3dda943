package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Who still owes what, and asking them.

// nudgedAgo is how long a person is left alone after a leader's nudge: two
// leaders, or two taps, must not make two messages.
const nudgedAgo = 2 * time.Minute

func showMissing(t *turn, _ string) {
	b := t.board()
	owing := t.owing(&b)
	if len(owing) == 0 {
		t.say(message.Loud("missing.none", nil))
		return
	}
	lines := []message.Line{message.Loud("missing.head", message.Args{"count": message.Count(len(owing))})}
	for _, p := range owing {
		lines = append(lines, t.owesLines(b.Of(p.ID))...)
	}
	m := message.Message{Lines: lines, Buttons: t.nudgeButton(&b)}
	m.Lines = append(m.Lines, gap(), message.Say("missing.for", message.Args{"command": message.Code("/for")}))
	t.send(m)
}

// owesLines are what one person owes, and that they can't be written to.
func (t *turn) owesLines(pb *roster.PersonBoard) []message.Line {
	p := t.trip.Person(pb.Person)
	lines := []message.Line{message.Say("missing.person", message.Args{
		"name": t.nameOf(p.ID), "what": t.owed(pb)})}
	switch {
	case !p.Left.IsZero():
		lines = append(lines, message.Say("missing.left", nil))
	case p.Unreachable != "":
		lines = append(lines, message.Say("missing.unreachable", nil))
	case p.Joined.IsZero():
		lines = append(lines, message.Say("missing.unjoined", nil))
	}
	return lines
}

// owed lists what a person owes: the cylinder and why.
func (t *turn) owed(pb *roster.PersonBoard) message.Value {
	var parts []message.Value
	for _, o := range pb.Owes {
		_, c := t.trip.Cylinder(o.Cylinder)
		why := message.Of(message.Say("owes."+o.Why, nil))
		if c == nil {
			parts = append(parts, why)
			continue
		}
		parts = append(parts, message.Of(message.Say("missing.owed", message.Args{
			"cylinder": message.Of(cylinderName(c)), "why": why})))
	}
	return message.List(parts...)
}

// reachable are those who can be written to.
func reachable(people []*roster.Person) []*roster.Person {
	var found []*roster.Person
	for _, p := range people {
		if canBeTold(p) {
			found = append(found, p)
		}
	}
	return found
}

// canBeTold tells whether a letter to p has somewhere to go.
func canBeTold(p *roster.Person) bool {
	return !p.Joined.IsZero() && p.Left.IsZero() && p.Unreachable == "" && !p.Erased
}

// nudge asks everybody who owes something, or the one person that the button
// names, once, and says whom it could not.
func nudge(t *turn, args []string) {
	b := t.board()
	owing := t.owing(&b)
	if len(args) > 0 {
		owing = slices.DeleteFunc(owing, func(p *roster.Person) bool { return string(p.ID) != args[0] })
	}
	if len(owing) == 0 {
		t.say(message.Loud("missing.none", nil))
		return
	}
	var asked, just, not []*roster.Person
	for _, p := range owing {
		switch {
		case !canBeTold(p):
			not = append(not, p)
		case !t.mayNudge(p):
			just = append(just, p)
		default:
			asked = append(asked, p)
			t.tell(p.ID, roster.Urgent, false, t.nudgeMessage(b.Of(p.ID)))
		}
	}
	var lines []message.Line
	for _, g := range []struct {
		key    string
		people []*roster.Person
	}{{"nudge.asked", asked}, {"nudge.just-asked", just}, {"nudge.not-reachable", not}} {
		if len(g.people) > 0 {
			lines = append(lines, message.Say(g.key, message.Args{
				"count": message.Count(len(g.people)), "names": t.names(g.people)}))
		}
	}
	t.say(lines...)
}

// mayNudge remembers the nudge and tells whether it is the first for a while.
func (t *turn) mayNudge(p *roster.Person) bool {
	key := "leader-nudge:" + string(p.ID)
	if last, ok := t.trip.Reminded[key]; ok && t.now.Sub(last).Abs() < nudgedAgo {
		return false
	}
	if t.trip.Reminded == nil {
		t.trip.Reminded = map[string]time.Time{}
	}
	t.trip.Reminded[key] = t.now
	return true
}

// nudgeMessage asks one person for what they owe.
func (t *turn) nudgeMessage(pb *roster.PersonBoard) message.Message {
	return message.Message{Lines: []message.Line{
		message.Loud("nudge.head", message.Args{"leader": t.nameOf(t.me.ID)}),
		message.Say("nudge.what", message.Args{"what": t.owed(pb)}),
	}}
}
