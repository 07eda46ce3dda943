package conversation

import (
	"slices"
	"strconv"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What leaders and crew who have no cylinder of their own say in plain words of
// somebody else's: the same as by the commands.

// onlyWatches tells whether the acting person leads or helps and has no cylinder
// of their own.
func (t *turn) onlyWatches() bool { return len(t.myCylinders()) == 0 && may(t.me(), false, true) }

// spokenOf are the cylinders that the acting person may be speaking of: their
// own, or everybody's for leaders and crew without one.
func (t *turn) spokenOf() []*roster.Cylinder {
	if !t.onlyWatches() {
		return t.myCylinders()
	}
	var all []*roster.Cylinder
	for _, p := range t.trip.People {
		all = append(all, p.InUse()...)
	}
	return all
}

// spokenLabel is the cylinder of that label that the acting person may be
// speaking of, nil for none.
func (t *turn) spokenLabel(label string) *roster.Cylinder {
	if !t.onlyWatches() {
		return t.labelledMine(label)
	}
	for _, c := range t.spokenOf() {
		if sameLabel(c.Label, label) {
			return c
		}
	}
	return nil
}

// watchedWords acts on what leaders and crew without a cylinder say of one that
// they name; false for anything else.
func (t *turn) watchedWords(r reply.Result) bool {
	if !t.onlyWatches() || t.trip.Over(t.now) || len(r.Unclear) > 0 {
		return false
	}
	switch {
	case len(r.Readings) == 1 && t.spokenLabel(r.Readings[0].Label) != nil:
		t.watchedReading(r.Readings[0])
	case r.Intent == reply.Refilled && t.spokenLabel(r.Label) != nil:
		refilled(t, r.Label)
	case len(r.Monoxide) == 1 && t.spokenLabel(r.Monoxide[0].Label) != nil:
		setCO(t, r.Monoxide[0].Label+" "+digits(r.Monoxide[0].PPM))
	default:
		return false
	}
	return true
}

// watchedReading takes a reading of somebody's cylinder. Where several people have
// one of that label, it is asked whose.
func (t *turn) watchedReading(x reply.Reading) {
	on := ""
	if x.Analyser != "" {
		on = " on " + x.Analyser
	}
	owners := t.ownersOf(x.Label)
	if len(owners) > 1 {
		t.askWho(whoData{Command: "for", Rest: x.Label + " " + digits(float64(x.Percent)) + on}, owners,
			message.Say("leader.who.cylinder", message.Args{
				"label": message.Name(x.Label), "count": message.Count(len(owners))}))
		return
	}
	forPerson(t, owners[0], "@"+string(t.spokenLabel(x.Label).ID)+" "+digits(float64(x.Percent))+on)
}

// ownersOf are those who have a cylinder of that label in use.
func (t *turn) ownersOf(label string) []*roster.Person {
	var owners []*roster.Person
	for _, p := range t.trip.People {
		if slices.ContainsFunc(p.InUse(), func(c *roster.Cylinder) bool { return sameLabel(c.Label, label) }) {
			owners = append(owners, p)
		}
	}
	return owners
}

// digits is a number as it is typed into a command.
func digits(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
