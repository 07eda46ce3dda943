package conversation

import (
	"slices"
	"strings"
	"unicode"

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
	words = d.takeWords(t.trip.Trip, d.takeAir(t.trip.Trip, t.takeTime(d, words)))
	if len(words) == 0 {
		return message.Line{}
	}
	p := t.trip.Person(d.Person)
	rest := words
	if d.Cylinder == "" {
		var problem message.Line
		if rest, problem = t.takeCylinder(d, p, words); problem.Key != "" {
			return problem
		}
	}
	if len(rest) == 0 {
		return message.Line{}
	}
	return t.takePercent(d, strings.Join(rest, " "))
}

// takeWitness takes "by NAME" off the end: who watched, where a leader records for
// somebody else who did.
func (t *turn) takeWitness(d *forData, words []string) ([]string, message.Line) {
	at := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, "by") })
	if at < 1 || at+1 == len(words) {
		return words, message.Line{}
	}
	said := strings.Join(words[at+1:], " ")
	found, name, rest := named(t.trip.Trip, said)
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

// takeAir takes "[A] air 20.9" out of the words.
func (d *forData) takeAir(trip *roster.Trip, words []string) []string {
	for i := 1; i+1 < len(words); i++ {
		if air, err := reply.Percent(words[i+1]); strings.EqualFold(words[i], "air") && err == nil && air >= airLow &&
			air <= airHigh {
			d.AirPoint = air
			if knownAnalyser(trip, words[i-1]) {
				d.Analyser = analyserName(trip, words[i-1])
				return append(slices.Clone(words[:i-1]), words[i+2:]...)
			}
			return append(slices.Clone(words[:i]), words[i+2:]...)
		}
	}
	return words
}

// takeWords takes the stage and the analyser out of the words.
func (d *forData) takeWords(trip *roster.Trip, words []string) (rest []string) {
	for i := 0; i < len(words); i++ {
		w := strings.ToLower(strings.Trim(words[i], ",;."))
		switch {
		case w == "dock" || w == "boat":
			d.Stage = w
		case (w == "on" || w == "analyser" || w == "analyzer") && i+1 < len(words):
			i++
			d.Analyser = analyserName(trip, words[i])
		case i > 0 && knownAnalyser(trip, words[i]):
			d.Analyser = analyserName(trip, words[i])
		default:
			rest = append(rest, words[i])
		}
	}
	return rest
}

func knownAnalyser(trip *roster.Trip, name string) bool {
	for _, a := range trip.Analysers {
		if strings.EqualFold(a.Name, name) {
			return true
		}
	}
	return false
}

// analyserName is an analyser's name as the trip writes it.
func analyserName(trip *roster.Trip, name string) string {
	for _, a := range trip.Analysers {
		if strings.EqualFold(a.Name, name) {
			return a.Name
		}
	}
	return clip(name, 20)
}

// clip keeps the first n characters of what somebody typed.
func clip(s string, n int) string {
	r := []rune(strings.Join(strings.Fields(s), " "))
	if len(r) > n {
		r = r[:n]
	}
	return string(r)
}

// takeCylinder finds the cylinder that the first word names. A single word
// that is no label is left for the reading.
func (t *turn) takeCylinder(d *forData, p *roster.Person, words []string) (rest []string, problem message.Line) {
	if c := labelled(p, words[0]); c != nil {
		d.Cylinder = c.ID
		if c.Label == "" && len(words) > 2 && !strings.HasPrefix(words[2], "%") { // its label with its id
			d.Label = clip(words[1], 20)
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
		d.Cylinder, d.Label = bare[0].ID, clip(words[0], 20)
		return nil, message.Line{}
	case len(words) == 1 && len(bare) > 0 && onlyDigits(words[0]):
		return nil, message.Say("for.label-or-reading", message.Args{"typed": message.Name(words[0])})
	case len(words) == 1 || strings.HasPrefix(words[1], "%"):
		return words, message.Line{}
	case len(bare) == 0:
		return nil, message.Say("for.no-such-cylinder", message.Args{"name": t.nameOf(p.ID),
			"typed": message.Name(words[0]), "cylinders": t.cylinderList(p)})
	}
	d.Label = clip(words[0], 20)
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

// labelled is the person's cylinder with that label; "@c5" is the one with that id.
func labelled(p *roster.Person, label string) *roster.Cylinder {
	for _, c := range p.InUse() {
		if label == "@"+string(c.ID) {
			return c
		}
		if sameLabel(c.Label, label) {
			return c
		}
	}
	return nil
}

func (t *turn) cylinderList(p *roster.Person) message.Value {
	var names []message.Value
	for _, c := range p.InUse() {
		names = append(names, message.Of(cylinderName(c)))
	}
	return message.List(names...)
}

// takePercent reads the number. What was ordered, a pressure or a slip is
// never taken for a reading.
func (t *turn) takePercent(d *forData, text string) message.Line {
	percent, err := reply.Percent(text)
	if err == nil {
		d.Percent = percent
		return message.Line{}
	}
	for _, doubt := range reply.Parse(text, reply.Context{}).Unclear {
		if key := "for.doubt." + string(doubt.Why); knownDoubt[doubt.Why] {
			return message.Say(key, message.Args{"typed": message.Name(text)})
		}
	}
	return message.Say("for.doubt", message.Args{"typed": message.Name(text)})
}

// knownDoubt are the doubts that have a sentence of their own here.
var knownDoubt = map[reply.Doubtful]bool{
	reply.Pressure: true, reply.Fraction: true, reply.Slip: true, reply.Blend: true, reply.Vague: true,
}
