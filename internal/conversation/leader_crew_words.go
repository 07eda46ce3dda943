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
	owners := t.ownersOf(x.Label)
	if len(owners) > 1 {
		a := message.Args{"label": message.Name(x.Label), "count": message.Count(len(owners))}
		t.askWho(whoData{Command: "for", Rest: x.Label + watchedNumber(x)}, owners, message.Say("leader.who.cylinder", a))
		return
	}
	t.takeWatched(owners[0], t.spokenLabel(x.Label), x)
}

func (t *turn) takeWatched(p *roster.Person, c *roster.Cylinder, x reply.Reading) {
	forPerson(t, p, "@"+string(c.ID)+watchedNumber(x))
}

// watchedNumber is a reading as it is typed behind a cylinder.
func watchedNumber(x reply.Reading) string {
	text := " " + digits(float64(x.Percent))
	if x.Analyser != "" {
		text += " on " + x.Analyser
	}
	return text
}

// namedWitness takes a number from a diver whom a leader named to watch somebody's next
// reading, by that cylinder's label; false for anything else.
func (t *turn) namedWitness(r reply.Result) bool {
	if len(r.Readings) != 1 || len(r.Unclear) > 0 || t.labelledMine(r.Readings[0].Label) != nil {
		return false
	}
	x := r.Readings[0]
	for _, p := range t.trip.People {
		for _, c := range p.InUse() {
			if c.NextWitness == t.actor && x.Label != "" && sameLabel(c.Label, x.Label) {
				t.takeWatched(p, c, x)
				return true
			}
		}
	}
	return false
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
