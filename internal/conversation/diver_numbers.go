package conversation

import (
	"math"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The numbers of a gas: what to write on the cylinder, what to set on the
// computer, and, when asked for more, how long.

// numberLines are what to write on the cylinder and to set on the computer, for
// who may dive it. A gas that isn't to be dived gets neither.
func (t *turn) numberLines(p *roster.Person, c *roster.Cylinder, cl *roster.Clearance) []message.Line {
	n := numbersFor(cl, c.ID)
	r := t.trip.ShownOf(c.ID, t.now)
	if n == nil || r == nil || !cl.Goes() {
		return nil
	}
	label := []message.Line{t.labelLine(p, c, n, r)}
	if airForEnriched(cl, c) {
		return label // the computer's line came first
	}
	return append(label, computerLine(n, cl))
}

// labelLine is what to write on the cylinder: percent, MOD, day, initials.
func (t *turn) labelLine(p *roster.Person, c *roster.Cylinder, n *gas.Numbers, r *roster.Reading) message.Line {
	return message.Say("diver.label.write",
		message.Args{"label": message.Of(message.Label(t.trip.Policy, t.shownOf(c, n), n.Label)),
			"day": message.Date(r.When(), t.trip.Zone), "name": message.Name(initials(p.Name))})
}

// initials are the first letters of a name's words, three at most.
func initials(name string) string {
	var letters []rune
	start := true
	for _, r := range name {
		if start && r != ' ' && len(letters) < 3 {
			letters = append(letters, r)
		}
		start = r == ' ' || r == '-'
	}
	return string(letters)
}

// timeLine is how long the gas lasts without stops, for planning.
func (t *turn) timeLine(p *roster.Person, c *roster.Cylinder, n *gas.Numbers) []message.Line {
	switch {
	case p.DivedBefore == "yes":
		return []message.Line{message.Say("diver.time.own", nil)}
	case n.NoStop.State != gas.NoStopLimited:
		return nil
	}
	key := "diver.time"
	if p.DivedBefore == "" { // not known: the time holds only for somebody rested
		key = "diver.time.rested"
	}
	return append([]message.Line{message.Say(key, message.Args{"minutes": message.Minutes(n.NoStop.Minutes)})},
		gainedLine(c, n)...)
}

// gainedLine says how many minutes a richer gas gives beyond what was asked
// for. What a leaner one costs is a finding, and said with the others.
func gainedLine(c *roster.Cylinder, n *gas.Numbers) []message.Line {
	gained := math.Floor(n.NoStop.Minutes) - math.Floor(n.NoStopAsked.Minutes)
	if n.NoStopAsked.State != gas.NoStopLimited || gained < 1 {
		return nil
	}
	return []message.Line{message.Say("diver.planned.gained",
		message.Args{"minutes": message.Minutes(gained), "asked": message.Blend(c.Asked)})}
}

// computerLine is the one number to set, and that it sets no depth: the label's
// counts, or for who has a tighter one theirs, which the verdict names.
func computerLine(n *gas.Numbers, cl *roster.Clearance) message.Line {
	if n.Computer <= gas.Air {
		return message.Say("diver.computer.air", nil)
	}
	a := message.Args{"percent": message.Blend(n.Computer)}
	switch named := cl.Status == gas.Go || told(cl).MaxDepth.Known(); {
	case !cl.Max.Known() || !n.Label.DeeperThan(cl.Max):
		return message.Say("diver.computer", a)
	case named:
		return message.Say("diver.computer.limited", a)
	}
	return message.Say("diver.computer.alone", a)
}
