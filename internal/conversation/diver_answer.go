package conversation

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a reading means, said to its diver: the verdict first, then the one
// thing to do, then the numbers.

// readingAnswer is the answer to readings that were just stored, with a button
// to take each back.
func (t *turn) readingAnswer(kept []*roster.Reading) message.Message {
	board := t.board()
	pb := board.Of(t.me.ID)
	var m message.Message
	for i, r := range kept {
		c, _ := t.trip.Reading(r.ID)
		if i > 0 {
			m.Lines = append(m.Lines, gap())
		}
		m.Lines = append(m.Lines, t.cylinderLines(t.me, pb, c, t.recordedLine(c, r))...)
		m.Buttons = append(m.Buttons, oneButton("undo "+string(r.ID), t.undoLabel(kept, c)))
	}
	m.Lines = append(m.Lines, t.stillLines(pb)...)
	return m
}

// recordedLine reads back what was understood.
func (t *turn) recordedLine(c *roster.Cylinder, r *roster.Reading) message.Line {
	a := message.Args{"percent": message.Percent(r.Percent), "cylinder": t.called(c)}
	key := "diver.recorded"
	if _, old := t.trip.Reading(r.Replaces); old != nil && old.Percent != r.Percent {
		key += ".corrected"
		a["was"] = message.Percent(old.Percent)
	}
	if r.Analyser != "" {
		key += ".analyser"
		a["analyser"] = message.Name(r.Analyser)
	}
	return message.Say(key, a)
}

func (t *turn) undoLabel(kept []*roster.Reading, c *roster.Cylinder) message.Line {
	if len(kept) == 1 {
		return message.Say("diver.undo", nil)
	}
	return message.Say("diver.undo.of", message.Args{"cylinder": t.called(c)})
}

// cylinderLines are one cylinder's verdict, what to do, the read-back and the
// numbers, and whatever else its diver should know.
func (t *turn) cylinderLines(p *roster.Person, pb *roster.PersonBoard, c *roster.Cylinder, recorded ...message.Line) []message.Line {
	status := pb.Verdict.StatusOf(string(c.ID), c.Dive)
	n := numbersFor(pb, c)
	reasons := reasonsOf(pb, c)
	why, notes := reasonLines(reasons, status)
	var numbers []message.Line
	if n != nil {
		numbers = t.numberLines(p, c, status, n)
	}
	verdict := []message.Line{t.verdictLine(p, c, status, n)}
	return slices.Concat(verdict, why, recorded, numbers, notes, t.swappedLine(p, reasons, c))
}

// reasonLines are why: what decides the verdict with the one thing to do, and
// what is worth knowing beside it. While a gas is a stop or not analysed,
// limits and notes are not: they would only bury what is to be done.
func reasonLines(reasons []gas.Finding, status gas.Status) (why, notes []message.Line) {
	said := map[string]bool{"": true}
	for i, f := range reasons {
		if (status == gas.NoGo || status == gas.NoReading) && f.Severity != gas.Stop && f.Severity != gas.Missing {
			continue
		}
		text, do := message.Finding(f)
		lines := []message.Line{text}
		if !said[do.Key] {
			said[do.Key] = true
			do.Style = message.Strong
			lines = append(lines, do)
		}
		if i == 0 && status != gas.Go {
			why = lines
		} else {
			notes = append(notes, lines...)
		}
	}
	return why, notes
}

// swappedLine says when a reading that doesn't fit its cylinder would fit
// another one of the same diver: the labels may have been swapped.
func (t *turn) swappedLine(p *roster.Person, reasons []gas.Finding, c *roster.Cylinder) []message.Line {
	r := c.Current()
	unsettled := slices.ContainsFunc(reasons, func(f gas.Finding) bool {
		return f.Rule == gas.RuleRepeat && f.Severity == gas.Missing
	})
	if r == nil || !unsettled {
		return nil
	}
	for _, other := range t.cylindersOf(p) {
		for _, o := range other.Valid() {
			if other != c && o.ID != r.ID && near(o.Percent, r.Percent) {
				return []message.Line{message.Loud("diver.swapped", message.Args{"percent": message.Percent(o.Percent),
					"other": message.Of(t.calledBy(p, other)), "cylinder": message.Of(t.calledBy(p, c))})}
			}
		}
	}
	return nil
}

// near tells whether two readings may be of one gas: honest analysers agree to
// a point (sensor data sheets; common practice).
func near(a, b gas.Percent) bool { return a-b <= 1 && b-a <= 1 }

// verdictLine is the verdict, with the cylinder's name when there are several.
func (t *turn) verdictLine(p *roster.Person, c *roster.Cylinder, s gas.Status, n *gas.Numbers) message.Line {
	var verdict message.Line
	if n != nil {
		verdict = message.VerdictWithin(s, n.MaxDepth, n.MaxMinutes)
	} else {
		verdict = message.Verdict(s, gas.Depth{})
	}
	if len(t.cylindersOf(p)) < 2 {
		return verdict
	}
	return message.Loud("diver.verdict.of", message.Args{"verdict": message.Of(verdict), "cylinder": message.Of(t.calledBy(p, c))})
}

// stillLines say what is still to be analysed, so that one cylinder's go is
// not taken for all.
func (t *turn) stillLines(pb *roster.PersonBoard) []message.Line {
	var owing []message.Value
	for _, c := range t.myCylinders() {
		if owes(pb, c.ID) && c.Current() == nil {
			owing = append(owing, t.called(c))
		}
	}
	switch {
	case t.me.Out != nil:
		return []message.Line{gap(), t.outLine()}
	case len(owing) > 0:
		return []message.Line{gap(), message.Loud("diver.still", message.Args{"count": message.Count(len(owing)), "cylinders": message.List(owing...)})}
	case len(t.myCylinders()) > 1 && (pb.Own == gas.Go || pb.Own == gas.GoWithLimits):
		return []message.Line{gap(), message.Say("diver.all-in", nil)}
	}
	return nil
}

// reasonsOf are the findings about one cylinder that its diver should hear,
// gravest first. Whether the number is what the analyser showed is asked, not
// told; of several depths not to pass only the shallowest is said, and what
// happens beyond it.
func reasonsOf(pb *roster.PersonBoard, c *roster.Cylinder) []gas.Finding {
	reasons := slices.DeleteFunc(pb.Verdict.Reasons(), func(f gas.Finding) bool {
		asked := f.Rule == gas.RuleMeasured && f.Do != ""
		return f.Cylinder != string(c.ID) || f.Dive != c.Dive || asked
	})
	first := slices.IndexFunc(reasons, limitsDepth)
	if first < 0 {
		return reasons
	}
	binding := reasons[first]
	for _, f := range reasons {
		if limitsDepth(f) && binding.MaxDepth.DeeperThan(f.MaxDepth) {
			binding = f
		}
	}
	reasons[first] = binding
	seen := false
	return slices.DeleteFunc(reasons, func(f gas.Finding) bool {
		again := seen
		seen = seen || limitsDepth(f)
		return limitsDepth(f) && again
	})
}

// limitsDepth tells whether all that a finding says is a depth not to pass.
func limitsDepth(f gas.Finding) bool {
	return f.Severity == gas.Limits && f.MaxDepth.Known() && f.Rule != gas.RuleContingency
}

// numbersFor are a cylinder's figures, nil without a reading.
func numbersFor(pb *roster.PersonBoard, c *roster.Cylinder) *gas.Numbers {
	for i := range pb.Verdict.Numbers {
		if n := &pb.Verdict.Numbers[i]; n.Cylinder == string(c.ID) && n.Dive == c.Dive && n.Rich.Known() {
			return n
		}
	}
	return nil
}

// findingLine is what a finding says.
func (t *turn) findingLine(f gas.Finding) message.Line {
	text, _ := message.Finding(f)
	return text
}

// verdictMessage is one cylinder's verdict under a heading.
func (t *turn) verdictMessage(heading message.Line, cs ...*roster.Cylinder) message.Message {
	board := t.board()
	pb := board.Of(t.me.ID)
	m := message.Message{}
	for _, c := range cs {
		m.Lines = append(m.Lines, t.cylinderLines(t.me, pb, c, heading)...)
	}
	return m
}

// verdictChanged tells a person that something else than their own answer
// changed their verdict.
func (t *turn) verdictChanged(p *roster.Person, pb *roster.PersonBoard) message.Message {
	lines := []message.Line{message.Loud("diver.changed", message.Args{"trip": message.Name(t.trip.Name)})}
	return message.Message{Lines: append(lines, t.personalLines(p, pb)...),
		Buttons: [][]message.Button{oneButton("gas", message.Say("diver.button.gas", nil))}}
}

// personalLines are all of a person's cylinders, one after the other.
func (t *turn) personalLines(p *roster.Person, pb *roster.PersonBoard) []message.Line {
	cs := t.cylindersOf(p)
	if len(cs) == 0 {
		return append([]message.Line{message.Verdict(pb.Own, gas.Depth{})}, t.noCylinderLines(p)...)
	}
	var lines []message.Line
	for _, c := range cs {
		if len(lines) > 0 {
			lines = append(lines, gap())
		}
		lines = append(lines, t.cylinderLines(p, t.boardUnder(c, pb), c, t.haveLines(p, c)...)...)
	}
	return lines
}

// boardUnder is a person's line on the board that counts for a cylinder: the
// present one, or when every dive is signed off the one that was signed.
func (t *turn) boardUnder(c *roster.Cylinder, pb *roster.PersonBoard) *roster.PersonBoard {
	if t.trip.CurrentDive() > 0 {
		return pb
	}
	for _, s := range slices.Backward(t.trip.SignOffs) {
		if s.Dive == c.Dive && s.Reopened == nil {
			if signed := s.Board.Of(pb.Person); signed != nil {
				return signed
			}
		}
	}
	return pb
}

// noCylinderLines say that there is no cylinder, on the trip or for what is
// left of it.
func (t *turn) noCylinderLines(p *roster.Person) []message.Line {
	a := message.Args{"leader": t.leaderNames(), "dive": message.Count(t.trip.CurrentDive())}
	if len(p.InUse()) > 0 && t.trip.CurrentDive() > 0 {
		return []message.Line{message.Say("diver.no-cylinder.dive", a), message.Say("diver.no-cylinder.dive.do", a)}
	}
	return []message.Line{message.Say("diver.no-cylinder", a), message.Say("diver.no-cylinder.do", a)}
}

// haveLines say what is in a cylinder.
func (t *turn) haveLines(p *roster.Person, c *roster.Cylinder) []message.Line {
	a := message.Args{"cylinder": message.Of(t.calledBy(p, c)), "asked": message.Blend(c.Asked)}
	r := c.Current()
	switch {
	case r != nil && c.Asked.Known():
		a["percent"] = message.Percent(r.Percent)
		return []message.Line{message.Say("diver.have.asked", a)}
	case r != nil:
		a["percent"] = message.Percent(r.Percent)
		return []message.Line{message.Say("diver.have", a)}
	case c.Asked.Known():
		return []message.Line{message.Say("diver.have.none", a)}
	}
	return nil
}
