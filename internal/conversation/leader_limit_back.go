package conversation

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What is set already: kept where a limit says only one half, and lifted.

// liftLimit lifts a limit; named tells whether it was said for which dive.
func (t *turn) liftLimit(d limitData, reason string, named bool) {
	t.done()
	people, name := t.limited(d)
	a := message.Args{"name": name, "for": message.Of(limitDive(d)), "leader": t.nameOf(t.me().ID)}
	d.Depth, d.Minutes = gas.Depth{}, 0
	if all := (limitData{Person: d.Person, Team: d.Team, All: true}); !named && !t.hasLimit(d) && t.hasLimit(all) {
		d, a["for"] = all, message.Of(limitDive(all)) // the only one there is
	}
	switch {
	case !t.hasLimit(d):
		t.say(message.Say("limit.none", a))
		return
	case !t.setLimits(d, reason):
		t.say(message.Say("limit.not-yours", nil))
		return
	}
	t.say(append([]message.Line{message.Loud("limit.lifted", a)}, t.verdictLines(t.shownDive(d), people...)...)...)
	t.tellActed(message.Say("limit.lifted", a))
	t.tellEach(people, message.Message{Lines: []message.Line{message.Loud("limit.lifted.told", a)}})
}

// limitSet is what leaders set already where this limit belongs.
func (t *turn) limitSet(d limitData) roster.Limit {
	if d.Team != "" {
		return t.trip.TeamLimitSet(d.Team, d.Dive)
	}
	return t.trip.LimitSet(d.Person, d.Dive)
}

// beside is a limit with the half that was set before and is not said.
func (t *turn) beside(d limitData) limitData {
	l := roster.Limit{Depth: d.Depth, Minutes: d.Minutes}.Beside(t.limitSet(d))
	d.Depth, d.Minutes = l.Depth, l.Minutes
	return d
}

// hasLimit tells whether there is such a limit to lift.
func (t *turn) hasLimit(d limitData) bool {
	l := t.limitSet(d)
	return l.Depth.Known() || l.Minutes > 0
}
