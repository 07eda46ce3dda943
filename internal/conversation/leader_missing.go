package conversation

import (
	"slices"
	"strconv"

	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// Who still owes what, and asking them.

func showMissing(t *turn, _ string) {
	b := t.board(t.dive())
	owing := t.owing(&b)
	if len(owing) == 0 {
		t.say(message.Loud("missing.none", nil))
		return
	}
	head := message.Loud("missing.head", message.Args{"count": message.Count(len(owing)), "dive": message.Count(b.Dive)})
	t.send(message.Message{Lines: append([]message.Line{head}, t.needLines(&b, owesAny)...), Buttons: t.needButtons(&b)})
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
	dive := t.dive()
	n, err := strconv.Atoi(argument(args, 0))
	if err == nil && t.trip.Dive(n) != nil {
		dive = n
	}
	b := t.board(dive)
	owing := t.nudged(&b)
	if len(args) > 0 && err != nil {
		owing = slices.DeleteFunc(owing, func(p *roster.Person) bool { return string(p.ID) != args[0] })
	}
	if len(owing) == 0 {
		t.say(message.Loud("missing.none", nil))
		return
	}
	var asked, just, not []*roster.Person
	for _, p := range t.others(owing) {
		switch {
		case !canBeTold(p):
			not = append(not, p)
		case !t.mayNudge(p):
			just = append(just, p)
		default:
			asked = append(asked, p)
			t.tell(p.ID, roster.LevelWord, false, t.nudgeMessage(b.Of(p.ID)))
		}
	}
	if len(asked)+len(just)+len(not) == 0 { // only who asks
		showMissing(t, "")
		return
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

// mayNudge remembers the nudge and tells whether it is the first for a while, by
// whomever.
func (t *turn) mayNudge(p *roster.Person) bool {
	if t.now.Sub(reminders.Nudged(t.trip.Trip, p.ID)).Abs() < reminders.NudgesApart {
		return false
	}
	reminders.NudgedByHand(t.trip, p.ID, t.now)
	return true
}

// nudgeMessage asks one person for what they owe, with the question that is open.
func (t *turn) nudgeMessage(c *roster.Clearance) message.Message {
	return t.owedReminder(message.Say("remind.why.leader", message.Args{"leader": t.nameOf(t.me().ID)}),
		t.trip.Person(c.Person), c.Dive)
}
