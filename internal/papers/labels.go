package papers

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// label is what goes on one cylinder.
type label struct {
	person   *roster.Person
	cylinder *roster.Cylinder
	numbers  gas.Numbers
	reading  *roster.Reading
}

// Labels draws a label for each cylinder with a reading that counts, and names
// those that have none: nothing is printed for what nobody analysed.
func (p Press) Labels(t *roster.Trip, language string, paper Paper) ([]byte, error) {
	k := &ink{words: p.teller(t, p.drawableLanguage(t, language))}
	k.words.name = k.name
	s := newSheet(paper, k.words.say("papers.labels", message.Args{"trip": message.Name(t.Name)}), p.Now, k)
	s.SetAutoPageBreak(false, 0)
	labels, without := labelsOf(t, p)
	g := s.grid(2, 5)
	for i, l := range labels {
		x, y := g.place(s, i)
		s.label(p, t, l, x, y, g.width, g.height)
	}
	s.SetAutoPageBreak(true, margin)
	s.without(k.words, without, len(labels) == 0)
	return s.bytes()
}

// labelsOf sorts a trip's cylinders into those that get a label and the rest.
func labelsOf(t *roster.Trip, p Press) (labels []label, without []label) {
	live := t.Board(p.Now)
	for _, person := range t.People {
		if person.Erased || person.Out != nil || !person.Left.IsZero() {
			continue
		}
		for _, c := range person.InUse() {
			l := label{person: person, cylinder: c, reading: c.Current()}
			if n, ok := settled(boardOf(t, c.Dive, &live), person.ID, c.ID); ok && l.reading != nil {
				l.numbers = n
				labels = append(labels, l)
				continue
			}
			without = append(without, l)
		}
	}
	return labels, without
}

// boardOf is the board that holds for a dive: the one under its signature, or
// the live one.
func boardOf(t *roster.Trip, dive int, live *roster.Board) *roster.Board {
	for i := len(t.SignOffs) - 1; i >= 0; i-- {
		if s := &t.SignOffs[i]; s.Dive == dive && s.Reopened == nil {
			return &s.Board
		}
	}
	return live
}

// settled are the numbers of a cylinder, when its readings are not in question.
func settled(b *roster.Board, person roster.PersonID, c roster.CylinderID) (gas.Numbers, bool) {
	pb := b.Of(person)
	if pb == nil {
		return gas.Numbers{}, false
	}
	for _, f := range pb.Verdict.Findings {
		if f.Cylinder == string(c) && f.Severity == gas.Missing && f.Rule != gas.RuleCard {
			return gas.Numbers{}, false
		}
		if f.Cylinder == string(c) && f.Rule == gas.RuleOutOfRange && f.Severity == gas.Stop {
			return gas.Numbers{}, false
		}
	}
	for _, n := range pb.Verdict.Numbers {
		if n.Cylinder == string(c) && n.Rich.Known() && n.Label.Known() {
			return n, true
		}
	}
	return gas.Numbers{}, false
}

func (s *sheet) label(p Press, t *roster.Trip, l label, x, y, width, height float64) {
	w := s.ink.words
	const pad = 4.0
	room := width - 2*pad
	line := func(h float64, text string) {
		s.SetX(x + pad)
		s.CellFormat(room, h, text, "", 2, "L", false, 0, "")
	}
	percent := l.numbers.Rich
	if r := l.reading.Percent; l.numbers.Lean <= r && r <= l.numbers.Rich {
		percent = r
	}
	s.SetXY(x+pad, y+pad)
	line(11, s.fitted("B", 26, 12, w.say("papers.label.percent", message.Args{"percent": message.Percent(percent)}), room))
	line(10, s.fitted("B", 22, 12, w.say("papers.label.mod", message.Args{"depth": message.Limit(l.numbers.Label)}), room))
	line(4.5, s.fitted("", 8.5, 6, w.say("papers.label.ppo2", message.Args{"ppo2": message.PPO2(t.Policy.PPO2)}), room))
	s.SetY(s.GetY() + 1)
	name := w.name(number(t, l.person.ID), message.Clean(l.person.Name))
	line(6, s.fitted("B", 12, 7, name, room))
	line(4.5, s.fitted("", 9, 6, w.say("papers.label.for", message.Args{"cylinder": message.Of(cylinderName(l.cylinder)),
		"dive": message.Count(l.cylinder.Dive), "site": message.Name(site(t, l.cylinder.Dive))}), room))
	a := message.Args{"day": message.Day(l.reading.At, t.Zone), "clock": message.Clock(l.reading.At, t.Zone)}
	key := "papers.label.analysed"
	if l.reading.Analyser != "" {
		key, a["analyser"] = key+".on", message.Name(l.reading.Analyser)
	}
	line(4.5, s.fitted("", 9, 6, w.say(key, a), room))
	line(4, s.fitted("", 7, 5, w.say("papers.label.check", nil), room))
}

// cylinderName is how a cylinder is called: by its label, or by its dive until
// it has one.
func cylinderName(c *roster.Cylinder) message.Line {
	if c.Label != "" {
		return message.Say("leader.cylinder", message.Args{"label": message.Name(c.Label)})
	}
	return message.Say("leader.cylinder.unlabelled", message.Args{"dive": message.Count(c.Dive)})
}

func site(t *roster.Trip, dive int) string {
	if dive < 1 || dive > len(t.Dives) {
		return ""
	}
	return t.Dives[dive-1].Site
}

// without names, on a page of its own, the cylinders that got no label.
func (s *sheet) without(w teller, list []label, nothing bool) {
	var names []string
	for _, l := range list {
		names = append(names, w.name(number(w.trip, l.person.ID), message.Clean(l.person.Name))+": "+w.line(cylinderName(l.cylinder)))
	}
	note := s.ink.note()
	if len(names) == 0 && note == "" && !nothing {
		return
	}
	s.AddPage()
	if len(names) > 0 || nothing {
		s.paragraph("B", 12, w.say("papers.labels.without", nil))
		s.Ln(2)
	}
	for _, n := range names {
		s.paragraph("", 10, n)
	}
	if note = s.ink.note(); note != "" {
		s.Ln(3)
		s.paragraph("B", 9, note)
	}
}
