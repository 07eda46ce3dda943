package papers

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// label is what goes on one cylinder.
type label struct {
	person    *roster.Person
	cylinder  *roster.Cylinder
	clearance *roster.Clearance
	numbers   *gas.Numbers
	reading   *roster.Reading
}

// Labels draws a label for each cylinder with a reading that counts, and names
// those that have none: nothing is printed for what nobody analysed.
func (p Press) Labels(t *roster.Trip, language string, paper Paper) ([]byte, error) {
	w := p.teller(t, language)
	s := newSheet(paper, w.say("papers.labels", message.Args{"trip": message.Name(t.Name)}), p.Now, w)
	s.SetAutoPageBreak(false, 0)
	labels, without := labelsOf(t, p)
	g := s.grid(2, 5)
	for i, l := range labels {
		x, y := g.place(s, i)
		s.label(t, l, x, y, g.width)
	}
	s.SetAutoPageBreak(true, margin)
	s.without(w, without, len(labels) == 0)
	return s.bytes()
}

// labelsOf sorts a trip's cylinders into those that get a label and the rest.
func labelsOf(t *roster.Trip, p Press) (labels []label, without []label) {
	for n := range t.Dives {
		b := boardOf(t, n+1, p.Now)
		for i := range b.People {
			c := &b.People[i]
			person := t.Person(c.Person)
			if person == nil || person.Erased || !c.Active || c.Left {
				continue
			}
			for _, cyl := range person.InUse() {
				if cyl.Dive != b.Dive {
					continue
				}
				l := label{person: person, cylinder: cyl, clearance: c, numbers: settled(c, cyl.ID)}
				if l.numbers != nil {
					l.reading = readingAt(cyl, l.numbers, p.Now)
				}
				if l.reading != nil {
					labels = append(labels, l)
					continue
				}
				without = append(without, l)
			}
		}
	}
	return labels, without
}

// boardOf is the board that holds for a dive: the one under its signature, or
// the one of now.
func boardOf(t *roster.Trip, dive int, now time.Time) *roster.Board {
	if s := t.Signature(dive); s != nil && t.Signed(dive, now) {
		return &s.Board.Board
	}
	b := t.Board(dive, now)
	return &b
}

// settled are the numbers of a cylinder, nil while its readings are in question.
func settled(c *roster.Clearance, id roster.CylinderID) *gas.Numbers {
	for _, f := range c.Verdict.Findings {
		switch {
		case f.Rule == gas.RuleSpeak && f.Severity == gas.Missing:
			return nil // helium was named
		case f.Cylinder != string(id):
		case f.Severity == gas.Missing && f.Rule != gas.RuleCard, f.Rule == gas.RuleOutOfRange && f.Severity == gas.Stop:
			return nil
		}
	}
	if n := c.Verdict.NumbersOf(string(id)); n != nil && n.Rich.Known() && n.Label.Known() {
		return n
	}
	return nil
}

func (s *sheet) label(t *roster.Trip, l label, x, y, width float64) {
	w := s.words
	const pad = 4.0
	left, room := x+pad, width-2*pad
	s.SetY(y + pad)
	s.fitted("B", 26, 12, left, room, 1, w.line(percentOf(l)))
	if mod := t.Policy.OnLabel(l.numbers.Rich, l.numbers.Label); mod.Known() {
		s.fitted("B", 22, 12, left, room, 1, w.say("papers.label.mod", message.Args{"depth": message.Limit(mod)}))
		s.fitted("", 8.5, 6, left, room, 1, w.say("papers.label.ppo2", message.Args{"ppo2": message.PPO2(t.Policy.PPO2)}))
	}
	s.SetY(s.GetY() + 1)
	if l.stopped() {
		s.stamp(left, room, w.line(l.use(t)))
	}
	s.fitted("B", 12, 7, left, room, 2, message.Clean(l.person.Name))
	if !l.stopped() {
		s.fitted("", 9, 6, left, room, 2, w.line(l.use(t)))
	}
	a := message.Args{"day": message.Date(l.reading.When(), t.Zone), "clock": message.Clock(l.reading.When(), t.Zone)}
	key := "papers.label.analysed"
	if l.reading.Analyser != "" {
		key, a["analyser"] = key+".on", message.Name(l.reading.Analyser)
	}
	s.fitted("", 9, 6, left, room, 1, w.say(key, a))
	s.fitted("", 7, 5, left, room, 1, w.say("papers.label.check", nil))
}

// stamp is what a cylinder is not for, white on black: the blackest thing on its label.
func (s *sheet) stamp(x, width float64, text string) {
	s.font("B", 13)
	lines := s.wrap(text, width-2)
	height := float64(len(lines))*5.5 + 1
	s.SetFillColor(0, 0, 0)
	s.Rect(x, s.GetY(), width, height, "F")
	s.SetTextColor(255, 255, 255)
	y := s.GetY() // drawing moves it
	for i, l := range lines {
		s.put(x+1, y+0.5+float64(i)*5.5, width-2, 5.5, l)
	}
	s.SetTextColor(0, 0, 0)
	s.SetY(y + height + 1)
}

// percentOf is the first line of a label: air says that it is air.
func percentOf(l label) message.Line {
	a := message.Args{"percent": message.Percent(l.reading.Percent)}
	if l.numbers.Rich < gas.EnrichedFrom {
		return message.Say("label.air", a)
	}
	return message.Say("papers.label.percent", a)
}

// stopped tells whether the cylinder is a no-go for its dive.
func (l label) stopped() bool { return l.clearance.Verdict.StatusOf(string(l.cylinder.ID)) == gas.NoGo }

// use is what a cylinder is for: the dive, with the diver's max where that is
// shallower than the MOD; or for which site it is not.
func (l label) use(t *roster.Trip) message.Line {
	place := message.Name(site(t, l.cylinder.Dive))
	if l.stopped() {
		return message.Say("papers.not-for", message.Args{"site": place})
	}
	a := message.Args{"cylinder": message.Of(cylinderName(l.cylinder)), "dive": message.Count(l.cylinder.Dive),
		"site": place}
	if c := l.clearance; c.Goes() && c.Max.Known() && l.numbers.Label.DeeperThan(c.Max) {
		a["depth"] = message.Limit(c.Max)
		return message.Say("papers.label.for.max", a)
	}
	return message.Say("papers.label.for", a)
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
		names = append(names, message.Clean(l.person.Name)+": "+w.line(cylinderName(l.cylinder)))
	}
	if len(names) == 0 && !nothing {
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
}
