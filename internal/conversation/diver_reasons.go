package conversation

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Why a gas stands as it does to its diver: the findings that say so, the worst first,
// and of those that limit the depth only the one that does.

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
	of := t.decider(c)
	for _, f := range reasonsOf(cl, c) {
		if buried(&f, cl.Status) {
			continue
		}
		text, do := message.Finding(f)
		do = t.cardDo(p, do)
		if _, other := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); other != nil && other.ID != of.ID {
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

// findingLine is what a finding says.
func (t *turn) findingLine(f gas.Finding) message.Line {
	text, _ := message.Finding(f)
	return text
}
