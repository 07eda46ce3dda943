package conversation

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The parts of a witnessed reading, out of what was typed.

// readFor takes the parts out of text that it holds. It returns what is wrong
// with the text, an empty line when nothing is; then d is complete as far as
// the text goes.
func (t *turn) readFor(d *forData, text string) message.Line {
	words, problem := t.takeWitness(d, strings.Fields(t.english(text)))
	if problem.Key != "" {
		return problem
	}
	rest := d.takeAside(t.trip.Trip, t.takeTime(d, words))
	if len(rest) == 0 {
		return message.Line{}
	}
	if d.Cylinder == "" {
		if rest, problem = t.takeCylinder(d, t.trip.Person(d.Person), rest); problem.Key != "" {
			return problem
		}
	}
	if len(rest) == 0 {
		return message.Line{}
	}
	percent, problem := orders.ReadPercent(strings.Join(rest, " "))
	if problem.Key == "" {
		d.Percent = percent
	}
	return problem
}

// takeAside takes what was said of the air, the stage and the analyser out of the words.
func (d *forData) takeAside(trip *roster.Trip, words []string) []string {
	air, analyser, words := orders.TakeAir(trip, words)
	if air.Known() {
		d.AirPoint = air
	}
	stage, other, words := orders.TakeStage(trip, words)
	d.Stage, d.Analyser = cmp.Or(stage, d.Stage), cmp.Or(other, analyser, d.Analyser)
	return words
}

// takeWitness takes "by NAME" off the end: who watched, where a leader records for
// somebody else who did.
func (t *turn) takeWitness(d *forData, words []string) ([]string, message.Line) {
	at := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, "by") })
	if at < 1 || at+1 == len(words) {
		return words, message.Line{}
	}
	said := strings.Join(words[at+1:], " ")
	found, name, rest := orders.Named(t.trip.Trip, said)
	switch {
	case len(found) == 0 || rest != "":
		return nil, t.unknownName(said)
	case len(found) > 1:
		return nil, message.Say("leader.who.which", message.Args{"name": message.Name(name), "names": t.names(found)})
	case found[0].ID == t.actor:
		return words[:at], message.Line{} // who records it watched it
	case !t.me().Leader:
		return nil, message.Say("sheet.by-leader", nil)
	case found[0].ID == d.Person:
		return nil, message.Say("sheet.by-other", message.Args{"name": t.nameOf(d.Person)})
	}
	d.Witness = found[0].ID
	return words[:at], message.Line{}
}

// takeCylinder finds the cylinder that the first word names. A single word
// that is no label is left for the reading.
func (t *turn) takeCylinder(d *forData, p *roster.Person, words []string) (rest []string, problem message.Line) {
	if c := orders.Labelled(p, words[0]); c != nil {
		d.Cylinder = c.ID
		if c.Label == "" && len(words) > 2 && !strings.HasPrefix(words[2], "%") { // its label with its id
			d.Label = orders.Clip(words[1], 20)
			return words[2:], message.Line{}
		}
		return words[1:], message.Line{}
	}
	bare := unlabelled(p)
	if owing := filter(bare, func(c *roster.Cylinder) bool { return !t.read(c) }); len(owing) > 0 {
		bare = owing
	}
	switch {
	case len(p.InUse()) == 0:
		return nil, message.Say("for.no-cylinders", message.Args{"name": t.nameOf(p.ID)})
	case len(words) == 1 && len(bare) == 1 && isLabelAlone(words[0]):
		d.Cylinder, d.Label = bare[0].ID, orders.Clip(words[0], 20)
		return nil, message.Line{}
	case len(words) == 1 && len(bare) > 0 && onlyDigits(words[0]):
		return nil, message.Say("for.label-or-reading", message.Args{"typed": message.Name(words[0])})
	case len(words) == 1 || strings.HasPrefix(words[1], "%"):
		return words, message.Line{}
	case len(bare) == 0:
		return nil, message.Say("for.no-such-cylinder", message.Args{"name": t.nameOf(p.ID),
			"typed": message.Name(words[0]), "cylinders": t.cylinderList(p)})
	}
	d.Label = orders.Clip(words[0], 20)
	if len(bare) == 1 {
		d.Cylinder = bare[0].ID
	}
	return words[1:], message.Line{}
}

// isLabelAlone tells whether a word can be a label only, and no number that was meant as a reading: B1.
func isLabelAlone(word string) bool {
	r := reply.Parse(word, reply.Context{})
	return usableLabel(word) && unicode.IsLetter([]rune(word)[0]) && strings.ContainsAny(word, "0123456789") &&
		len(r.Readings)+len(r.Unclear) == 0
}

// unlabelled are the person's cylinders that have no label yet.
func unlabelled(p *roster.Person) []*roster.Cylinder {
	var bare []*roster.Cylinder
	for _, c := range p.InUse() {
		if c.Label == "" {
			bare = append(bare, c)
		}
	}
	return bare
}

// onlyDigits tells whether w could be a cylinder's number as well as a
// reading: digits and nothing else.
func onlyDigits(w string) bool {
	return w != "" && strings.Trim(w, "0123456789") == ""
}

func (t *turn) cylinderList(p *roster.Person) message.Value {
	var names []message.Value
	for _, c := range p.InUse() {
		names = append(names, message.Of(cylinderName(c)))
	}
	return message.List(names...)
}
