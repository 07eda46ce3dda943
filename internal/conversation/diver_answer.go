package conversation

import (
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
	for i, r := range t.worstFirst(kept) {
		c, _ := t.trip.Reading(r.ID)
		if i > 0 {
			m.Lines = append(m.Lines, gap())
		}
		m.Lines = append(m.Lines, t.cylinderLines(t.me(), c, t.recordedLine(c, r))...)
		m.Lines = append(m.Lines, t.uncountedLine(c, r)...)
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

// worstFirst are readings in the order of their clearances.
func (t *turn) worstFirst(kept []*roster.Reading) []*roster.Reading {
	status := func(r *roster.Reading) int {
		c, _ := t.trip.Reading(r.ID)
		return urgency(t.clearanceOf(c).Status)
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
	return message.Say(key, a)
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
	for _, f := range reasonsOf(cl, c) {
		if cl.Status == gas.Go || f.Severity.Status() != cl.Status {
			continue
		}
		return append(lines, t.whyLine(p, c, &f)...)
	}
	return lines
}

// actOfLimit are the limits of which the act is said: why is a tap away. Of the
// others the reason names the act.
var actOfLimit = map[gas.Rule]bool{gas.RuleDepth: true, gas.RuleBottom: true, gas.RuleNoStop: true, gas.RuleLean: true,
	gas.RuleDepthLimit: true,
	gas.RuleHumidAir:   true, gas.RuleAirPoint: true}

// whyLine is what a finding says and what to do about it, in as few lines as it
// takes.
func (t *turn) whyLine(p *roster.Person, c *roster.Cylinder, f *gas.Finding) []message.Line {
	text, do := message.Finding(*f)
	do = t.cardDo(p, do)
	if _, other := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); other != nil && other.ID != c.ID {
		text = message.Say("diver.elsewhere", message.Args{"cylinder": message.Of(t.calledBy(p, other)),
			"text": message.Of(text)})
		if f.Severity == gas.Missing && f.Rule != gas.RuleQuestion && other.LeftOn(c.Dive) {
			return []message.Line{message.Loud("diver.gone.ask", message.Args{"cylinder": message.Of(t.calledBy(p, other)),
				"dive": message.Count(c.Dive), "leader": t.leaderNames()})}
		}
	}
	do.Style = message.Strong
	switch limit := f.Severity.Status() == gas.GoWithLimits; {
	case do.Key == "" || limit && !actOfLimit[f.Rule] && f.Rule != gas.RuleOxygenClock:
		return []message.Line{text}
	case limit && f.Rule != gas.RuleOxygenClock, f.Case == "missing" && f.Rule == gas.RuleNoReading,
		f.Rule == gas.RuleQuestion, f.Case == "unseen" && f.Rule == gas.RuleCard:
		return []message.Line{do} // the verdict's word says why
	}
	return []message.Line{text, do}
}

// noteLine is the first thing worth knowing of a go.
func (t *turn) noteLine(c *roster.Cylinder) []message.Line {
	cl := t.clearanceOf(c)
	for _, f := range reasonsOf(cl, c) {
		if f.Severity == gas.Note && cl.Goes() && f.Rule != gas.RuleContingency {
			return []message.Line{t.findingLine(f)}
		}
	}
	return nil
}

// airForEnriched tells whether there is air in a cylinder that enriched air was
// ordered for: the computer has to be set to it.
func airForEnriched(cl *roster.Clearance, c *roster.Cylinder) bool {
	n := numbersFor(cl, c.ID)
	return n != nil && cl.Goes() && c.Asked >= gas.EnrichedFrom && n.Rich < gas.EnrichedFrom
}

// reasonLines are all that is the matter, each with what to do. While a dive is
// stopped or not cleared, limits and notes are not: they would only bury what is
// to be done.
func (t *turn) reasonLines(p *roster.Person, c *roster.Cylinder, cl *roster.Clearance) []message.Line {
	var lines []message.Line
	said := map[string]bool{"": true}
	for _, f := range reasonsOf(cl, c) {
		if buried(&f, cl.Status) {
			continue
		}
		text, do := message.Finding(f)
		do = t.cardDo(p, do)
		if _, other := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); other != nil && other.ID != c.ID {
			text = message.Say("diver.elsewhere",
				message.Args{"cylinder": message.Of(t.calledBy(p, other)), "text": message.Of(text)})
		}
		lines = append(lines, text)
		if !said[do.Key] {
			said[do.Key] = true
			lines = append(lines, do)
		}
	}
	return lines
}

// buried tells whether a finding would only bury what decides a status: while a
// dive is stopped nothing but the stop is said, while it is not cleared no limits.
func buried(f *gas.Finding, status gas.Status) bool {
	switch status {
	case gas.NoGo:
		return f.Severity.Status() != gas.NoGo
	case gas.NotCleared:
		return f.Severity != gas.Missing
	}
	return false
}

// swappedLine says when a reading that doesn't fit its cylinder would fit
// another one of the same diver: the labels may have been swapped.
func (t *turn) swappedLine(p *roster.Person, reasons []gas.Finding, c *roster.Cylinder) []message.Line {
	r := t.trip.ShownOf(c.ID, t.now)
	unsettled := slices.ContainsFunc(reasons, func(f gas.Finding) bool {
		return f.Rule == gas.RuleRepeat && f.Severity == gas.Missing
	})
	if r == nil || !unsettled {
		return nil
	}
	for _, other := range p.InUse() {
		for _, o := range t.trip.Evidence(other.ID, t.now).Counting {
			if other.ID != c.ID && near(o.Percent, r.Percent) {
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

// verdictLine is the clearance with the cylinder's name, and the dive's number
// where it is not the next one.
func (t *turn) verdictLine(p *roster.Person, c *roster.Cylinder, cl *roster.Clearance) message.Line {
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

// reasonsOf are the findings of a clearance that a cylinder's diver should
// hear, gravest first: of this cylinder, of the diver, and whatever of another
// cylinder makes the dive what it is. Whether the number is what the analyser
// showed is asked, not told; of several depths not to pass only the diver's max
// is said, and what happens beyond it.
func reasonsOf(cl *roster.Clearance, c *roster.Cylinder) []gas.Finding {
	own := false
	reasons := slices.DeleteFunc(cl.Verdict.Reasons(), func(f gas.Finding) bool {
		asked := f.Rule == gas.RuleMeasured && f.Do != ""
		elsewhere := f.Cylinder != "" && f.Cylinder != string(c.ID)
		decides := elsewhere && !own && f.Severity.Status() == cl.Status && cl.Status != gas.Go &&
			cl.Status != gas.GoWithLimits
		own = own || !elsewhere
		return asked || elsewhere && !decides
	})
	return needFirst(cl, oneDepth(reasons))
}

// oneDepth leaves one finding that names a depth not to pass: the danger beyond
// it where there is one, with nothing else to do than that.
func oneDepth(reasons []gas.Finding) []gas.Finding {
	seen := false
	for i := range reasons {
		if f := &reasons[i]; f.Rule == gas.RuleContingency && f.Severity == gas.Limits {
			f.Do, seen = "", true
		}
	}
	return slices.DeleteFunc(reasons, func(f gas.Finding) bool {
		again := seen && limitsDepth(f)
		seen = seen || limitsDepth(f)
		return again
	})
}

// limitsDepth tells whether all that a finding says is a depth not to pass.
func limitsDepth(f gas.Finding) bool {
	return f.Severity == gas.Limits && f.MaxDepth.Known() && f.Rule != gas.RuleContingency
}

// numbersFor are a cylinder's figures, nil without a reading.
func numbersFor(cl *roster.Clearance, c roster.CylinderID) *gas.Numbers {
	if n := cl.Verdict.NumbersOf(string(c)); n != nil && n.Rich.Known() {
		return n
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
			lines = append(append(lines, gap()), tell(p, c)...)
		}
	}
	if len(lines) > 0 {
		return lines
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
