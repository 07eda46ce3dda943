package conversation

import (
	"reflect"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a reading means, said to its diver: the verdict of the dive that the
// cylinder is for, then the one thing to do, then what to write and to set.

// longestVerdict is how many lines a verdict may have with all that is said beside
// it: what is thin gives way to what is still to be done.
const longestVerdict = 5

// readingAnswer is the answer to readings that were just stored, the worst
// first, with buttons to take each back and to see why.
func (t *turn) readingAnswer(kept []*roster.Reading) message.Message {
	var m message.Message
	for _, r := range t.worstFirst(kept) {
		c, _ := t.trip.Reading(r.ID)
		lines := t.cylinderLines(t.me(), c, t.recordedLine(c, r))
		m.Lines = addedTo(m.Lines, append(lines, t.uncountedLine(c, r)...))
		m.Buttons = append(m.Buttons, t.readingButtons(kept, c, r))
		t.showed(t.me().ID, c.Dive)
	}
	still := t.stillLines(t.me())
	room := longestVerdict - len(m.Lines) - len(still)
	if t.mayAskBefore() && t.allGo(kept) {
		room--
	}
	if len(kept) == 1 && room > 0 {
		c, _ := t.trip.Reading(kept[0].ID)
		m.Lines = append(m.Lines, t.noteLine(c)...)
	}
	m.Lines = append(m.Lines, still...)
	return m
}

// allGo tells whether the dives of all these readings are a go, with limits or
// without.
func (t *turn) allGo(rs []*roster.Reading) bool {
	return !slices.ContainsFunc(rs, func(r *roster.Reading) bool {
		c, _ := t.trip.Reading(r.ID)
		return !t.clearanceOf(c).Goes()
	})
}

// readingButtons take one reading back, and show why its verdict is as it is.
func (t *turn) readingButtons(kept []*roster.Reading, c *roster.Cylinder, r *roster.Reading) []message.Button {
	undo, more := message.Say("diver.undo", nil), message.Say("button.more", nil)
	if len(kept) > 1 {
		a := message.Args{"cylinder": t.called(c)}
		undo, more = message.Say("diver.undo.of", a), message.Say("diver.button.more", a)
	}
	return []message.Button{{Label: undo, Do: "undo " + string(r.ID)}, {Label: more, Do: "more " + string(c.ID)}}
}

// worstFirst are readings in the order of their clearances, first of the cylinder that
// makes one what it is.
func (t *turn) worstFirst(kept []*roster.Reading) []*roster.Reading {
	status := func(r *roster.Reading) int {
		c, _ := t.trip.Reading(r.ID)
		order := 2 * urgency(t.clearanceOf(c).Status)
		if t.decider(c).ID != c.ID {
			order++
		}
		return order
	}
	sorted := slices.Clone(kept)
	slices.SortStableFunc(sorted, func(a, b *roster.Reading) int { return status(a) - status(b) })
	return sorted
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
	line := message.Say(key, a)
	if t.decider(c).ID != c.ID { // the verdict names another one
		return message.Say("diver.elsewhere", message.Args{"cylinder": t.called(c), "text": message.Of(line)})
	}
	return line
}

// cylinderLines are a cylinder's clearance, why it is no plain go, and what to
// write and to set. What was understood is read back where the label's line does
// not say it.
func (t *turn) cylinderLines(p *roster.Person, c *roster.Cylinder, recorded ...message.Line) []message.Line {
	cl := t.clearance(p.ID, c.Dive)
	lines := t.standLines(p, c)
	if f, apart := unsettledFit(cl, c.ID); apart {
		if text, _ := message.Finding(f); !slices.ContainsFunc(lines,
			func(l message.Line) bool { return l.Key == text.Key }) {
			lines = append(lines, text)
		}
	}
	numbers := t.numberLines(p, c, cl)
	if len(numbers) == 0 {
		lines = append(lines, recorded...)
	}
	return slices.Concat(lines, numbers, t.swappedLine(p, reasonsOf(cl, c), c))
}

// standLines are a cylinder's clearance and the one reason that decides it, with
// the one thing to do.
func (t *turn) standLines(p *roster.Person, c *roster.Cylinder) []message.Line {
	cl := t.clearance(p.ID, c.Dive)
	lines := []message.Line{t.verdictLine(p, c, cl)}
	if airForEnriched(cl, c) {
		lines = append(lines, message.Loud("diver.computer.set-air", nil))
	}
	if f, ok := decisiveOf(cl, c); ok {
		return append(lines, t.whyLine(p, t.decider(c), &f)...)
	}
	return lines
}

// decisiveOf is the finding that makes a clearance what it is, as the diver of a
// cylinder hears it; none for a go.
func decisiveOf(cl *roster.Clearance, c *roster.Cylinder) (gas.Finding, bool) {
	for _, f := range reasonsOf(cl, c) {
		if cl.Status != gas.Go && f.Severity.Status() == cl.Status {
			return f, true
		}
	}
	return gas.Finding{}, false
}

// decider is the cylinder that a verdict is said of: another one of the same dive where
// that alone makes it what it is.
func (t *turn) decider(c *roster.Cylinder) *roster.Cylinder {
	p, _ := t.trip.Cylinder(c.ID)
	f, ok := decisiveOf(t.clearanceOf(c), c)
	for _, o := range p.InUse() {
		if ok && o.Dive == c.Dive && f.Cylinder == string(o.ID) {
			return o
		}
	}
	return c
}

// addedTo adds what is told of one cylinder to what is told of others, after a gap; the
// same verdict is said once.
func addedTo(lines, more []message.Line) []message.Line {
	same := func(l message.Line) bool { return reflect.DeepEqual(l, more[0]) }
	i := slices.IndexFunc(lines, same)
	if len(lines) == 0 || i < 0 {
		return append(withGap(lines), more...)
	}
	n := 0
	for n < len(more) && i+n < len(lines) && reflect.DeepEqual(lines[i+n], more[n]) {
		n++
	}
	return append(lines, more[n:]...)
}

// withGap ends lines with a gap, where there are any.
func withGap(lines []message.Line) []message.Line {
	if len(lines) == 0 {
		return nil
	}
	return append(lines, gap())
}

// verdictLine is the clearance with the name of the cylinder that it is said of, and the
// dive's number where it is not the next one.
func (t *turn) verdictLine(p *roster.Person, c *roster.Cylinder, cl *roster.Clearance) message.Line {
	c = t.decider(c)
	if len(t.current(p)) < 2 && c.Label == "" {
		return message.Cleared(t.trip.Trip, cl)
	}
	name := t.calledBy(p, c)
	if c.Label != "" && c.Dive != t.dive() {
		name = message.Say("diver.cylinder.on-dive",
			message.Args{"cylinder": message.Of(name), "dive": message.Count(c.Dive)})
	}
	return message.ClearedOf(t.trip.Trip, cl, name)
}

// stillLines say what is still to be analysed, so that one cylinder's go is
// not taken for all, and what is still asked about.
func (t *turn) stillLines(p *roster.Person) []message.Line {
	owing := t.owedBy(p)
	switch {
	case p.OutOf(t.dive()) != nil:
		return []message.Line{t.outLine(p.OutOf(t.dive()))}
	case len(owing) > 0:
		return []message.Line{message.Loud("diver.still",
			message.Args{"count": message.Count(len(owing)), "cylinders": t.list(p, owing)})}
	}
	return nil
}

// numbersFor are a cylinder's figures, nil without a reading.
func numbersFor(cl *roster.Clearance, c roster.CylinderID) *gas.Numbers {
	if n := cl.Verdict.NumbersOf(string(c)); n != nil && n.Rich.Known() {
		return n
	}
	return nil
}

// verdictMessage is one cylinder's verdict under a heading.
func (t *turn) verdictMessage(heading message.Line, cs ...*roster.Cylinder) message.Message {
	m := message.Message{Lines: []message.Line{heading}}
	for _, c := range cs {
		m.Lines = append(m.Lines, t.cylinderLines(t.me(), c)...)
		t.showed(t.me().ID, c.Dive)
	}
	return m
}

// cylinderTold is what is said of one cylinder of a person.
type cylinderTold func(p *roster.Person, c *roster.Cylinder) []message.Line

// wholly is a cylinder with what is in it, and what to write and to set.
func (t *turn) wholly(p *roster.Person, c *roster.Cylinder) []message.Line {
	return t.cylinderLines(p, c, t.haveLines(p, c)...)
}

// personalLines are how a person stands on some dives, on all that are ahead
// when none is named: each dive's cylinders one after the other.
func (t *turn) personalLines(p *roster.Person, tell cylinderTold, dives ...int) []message.Line {
	if len(dives) == 0 {
		dives = t.ahead()
	}
	var lines []message.Line
	for _, n := range dives {
		if cl := t.clearance(p.ID, n); cl.Active {
			lines = append(lines, t.diveLines(p, cl, tell)...)
		}
	}
	if len(lines) == 0 {
		return t.noCylinderLines(p, 0)
	}
	return lines[1:]
}

// diveLines are how a person stands on one dive, after a gap.
func (t *turn) diveLines(p *roster.Person, cl *roster.Clearance, tell cylinderTold) []message.Line {
	var lines []message.Line
	for _, c := range p.InUse() {
		if c.Dive == cl.Dive {
			lines = addedTo(lines, tell(p, c))
		}
	}
	if len(lines) > 0 {
		return append([]message.Line{gap()}, lines...)
	}
	return append([]message.Line{gap(), message.ClearedOf(t.trip.Trip, cl,
		message.Say("limit.for.dive", message.Args{"dive": message.Count(cl.Dive)}))}, t.noCylinderLines(p, cl.Dive)...)
}

// noCylinderLines say that there is no cylinder, on the trip (0) or for a dive.
func (t *turn) noCylinderLines(p *roster.Person, dive int) []message.Line {
	a := message.Args{"leader": t.leaderNames(), "dive": message.Count(dive)}
	if dive > 0 && len(p.InUse()) > 0 {
		return []message.Line{message.Say("diver.no-cylinder.dive.do", a)}
	}
	return []message.Line{message.Say("diver.no-cylinder", a), message.Say("diver.no-cylinder.do", a)}
}

// haveLines say what is in a cylinder.
func (t *turn) haveLines(p *roster.Person, c *roster.Cylinder) []message.Line {
	a := message.Args{"cylinder": message.Of(t.calledBy(p, c)), "asked": message.Blend(c.Asked)}
	r := t.trip.ShownOf(c.ID, t.now)
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
