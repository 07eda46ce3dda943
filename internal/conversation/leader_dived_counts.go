package conversation

import (
	"slices"
	"strconv"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What of a dive that was dived counts for the next, and for whom.

// countsOn tells whether what somebody dived on a dive counts with the next one: who sat
// it out or has no cylinder on it breathed nothing that is known.
func (t *turn) countsOn(p *roster.Person, dive int) bool {
	on := func(c *roster.Cylinder) bool { return c.Dive == dive }
	return p.OutOf(dive) == nil && slices.ContainsFunc(p.Cylinders, on)
}

// divedAnyway tells the leaders of a diver who says that they dived what was noted as not
// dived, and the diver who heard.
func (t *turn) divedAnyway(dive int, what message.Line) message.Line {
	told := those(t.trip.Leaders(), canBeTold)
	t.alertLeaders(message.Message{
		Lines:   []message.Line{what, message.Say("dived.anyway", message.Args{"dive": message.Count(dive)})},
		Buttons: [][]message.Button{oneButton("ldived "+strconv.Itoa(dive)+" ask", message.Say("dived.ask", nil))}})
	return t.toldLine("diver.told", told)
}

// divedStands says with what the next dive counts: for whom an earlier word stays
// deeper or longer, this one was not taken.
func (t *turn) divedStands(dive int, what roster.Dived) []message.Line {
	var stricter []*roster.Person
	for _, p := range t.trip.People {
		if what.Person != "" && what.Person != p.ID || !p.Dives() {
			continue
		}
		if is, said := t.trip.DivedBy(dive, p.ID); said && (is.Depth.DeeperThan(what.Depth) || is.Minutes > what.Minutes) {
			stricter = append(stricter, p)
		}
	}
	switch {
	case len(stricter) == 0:
		return []message.Line{message.Say("dived.used", nil)}
	case what.Person != "":
		is, _ := t.trip.DivedBy(dive, what.Person)
		return []message.Line{message.Say("dived.used.stricter", message.Args{"depth": message.Planned(is.Depth),
			"minutes": message.Minutes(is.Minutes)})}
	}
	return []message.Line{message.Say("dived.used", nil),
		message.Say("dived.used.but", message.Args{"names": t.names(stricter)})}
}
