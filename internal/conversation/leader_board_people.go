package conversation

import (
	"cmp"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The people on a board: who needs something first, one line each; who is
// cleared without a limit shares a line with the others.

// personLines are everybody on the board.
func (t *turn) personLines(b *roster.Board) []message.Line {
	people := make([]*roster.Clearance, 0, len(b.People))
	var plain []*roster.Person
	for i := range b.People {
		switch c := &b.People[i]; {
		case c.Active && c.Status == gas.Go:
			plain = append(plain, t.trip.Person(c.Person))
		case c.Active || c.Out != nil || c.Outside != nil:
			people = append(people, c)
		}
	}
	slices.SortStableFunc(people, func(x, y *roster.Clearance) int { return cmp.Compare(rank(x), rank(y)) })
	lines := make([]message.Line, 0, len(people)+2)
	if len(b.People) > 0 {
		lines = append(lines, gap())
	}
	for _, c := range people {
		lines = append(lines, t.personLine(c))
	}
	if len(plain) > 0 {
		lines = append(lines, message.Say("board.goes",
			message.Args{"names": t.names(plain), "count": message.Count(len(plain))}))
	}
	return lines
}

// urgency orders clearances: stop, not cleared, limits, go.
func urgency(s gas.Status) int {
	return slices.Index([]gas.Status{gas.NoGo, gas.NotCleared, gas.GoWithLimits, gas.Go}, s)
}

// rank orders a board: by urgency, then who sits out, then who is outside.
func rank(c *roster.Clearance) int {
	switch {
	case c.Outside != nil:
		return 11
	case c.Out != nil:
		return 10
	}
	return urgency(c.Status)
}

// blocks tells whether a person stands in the way of the sign-off.
func blocks(c *roster.Clearance) bool {
	return c.Active && !c.Goes()
}

// personLine is one clearance in one line: the verdict, the name, and why.
func (t *turn) personLine(c *roster.Clearance) message.Line {
	a := message.Args{"verdict": message.Of(message.Cleared(t.trip.Trip, c)), "name": t.nameOf(c.Person)}
	switch {
	case c.Outside != nil: // which everybody may read
		a["reason"] = message.Of(reasonLine(c.Outside.Reason))
		return message.Say("board.person.out", a)
	case c.Out != nil:
		a["reason"] = message.Of(t.reasonFor(c.Out))
		return message.Say("board.person.out", a)
	case !c.Active:
		return message.Say("board.person", a)
	}
	f, ok := decisive(c)
	if !ok {
		return message.Loud("board.person", a)
	}
	key := "board.person"
	if _, cylinder := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); cylinder != nil {
		key, a["cylinder"] = key+".cylinder", message.Of(cylinderName(cylinder))
	}
	if said := t.trip.Person(c.Person).Speak; f.Rule == gas.RuleSpeak && len(said) > 0 {
		key, a["why"] = key+".why", message.Of(quoted(said))
	} else if tellsMore(&f) {
		text, _ := message.FindingForLeader(f)
		key, a["why"] = key+".why", message.Of(text)
	}
	return message.Loud(key, a)
}

// saidByVerdict are the rules whose finding says no more than the verdict's word.
var saidByVerdict = map[gas.Rule]bool{gas.RuleNoReading: true, gas.RuleStale: true, gas.RuleCard: true,
	gas.RuleLeft: true, gas.RuleSpeak: true,
	gas.RuleQuestion: true, gas.RuleNoCylinder: true, gas.RuleMeasured: true}

// tellsMore tells whether why says more than the verdict: it always does of a
// no-go, and of a limit that is no number.
func tellsMore(f *gas.Finding) bool {
	switch f.Severity.Status() {
	case gas.NoGo:
		return true
	case gas.GoWithLimits:
		return !f.MaxDepth.Known() && f.MaxMinutes == 0 && f.Rule != gas.RuleDivedBefore
	}
	return !saidByVerdict[f.Rule]
}

// decisive is the finding that makes a clearance what it is; none for a go.
func decisive(c *roster.Clearance) (gas.Finding, bool) {
	if f, apart := unsettledFit(c, ""); apart {
		return f, true // the verdict's word names the limit
	}
	for _, f := range needFirst(c, c.Verdict.Reasons()) {
		if c.Status != gas.Go && f.Severity.Status() == c.Status {
			return f, true
		}
	}
	return gas.Finding{}, false
}

// unsettledFit is the finding that readings disagree while the plan fits them all,
// of one cylinder or ("") any: it has to be said beside whatever limit.
func unsettledFit(c *roster.Clearance, cylinder roster.CylinderID) (gas.Finding, bool) {
	for _, f := range c.Verdict.Findings {
		if f.Rule == gas.RuleRepeat && f.Severity == gas.Limits && c.Goes() &&
			(cylinder == "" || f.Cylinder == string(cylinder)) {
			return f, true
		}
	}
	return gas.Finding{}, false
}

// needFirst puts what the verdict's word speaks of before all else: the line
// after it says what to do about that.
func needFirst(c *roster.Clearance, reasons []gas.Finding) []gas.Finding {
	if c.Status != gas.NotCleared {
		return reasons
	}
	said := message.SaidNeed(c)
	return putFirst(reasons, func(f gas.Finding) bool { return roster.NeedOf(&f) == said })
}

// putFirst are findings with some of them before the others; each kind stays in
// its order.
func putFirst(findings []gas.Finding, first func(gas.Finding) bool) []gas.Finding {
	others := slices.DeleteFunc(slices.Clone(findings), first)
	return append(slices.DeleteFunc(slices.Clone(findings), func(f gas.Finding) bool { return !first(f) }), others...)
}

// whyLines are what decides a clearance, and what to do about it.
func (t *turn) whyLines(c *roster.Clearance) []message.Line {
	var lines []message.Line
	said := map[string]bool{}
	for _, f := range c.Verdict.Reasons() {
		if c.Status == gas.Go || f.Severity.Status() != c.Status || said[f.Cylinder] && c.Status != gas.GoWithLimits {
			continue
		}
		if said[f.Cylinder+" "+f.Do] {
			f.Do = ""
		}
		said[f.Cylinder], said[f.Cylinder+" "+f.Do] = true, true
		lines = append(lines, t.findingFor(f))
		if said := t.trip.Person(c.Person).Speak; f.Rule == gas.RuleSpeak && len(said) > 0 {
			lines = append(lines, quoted(said))
		}
	}
	return lines
}

// findingFor is a finding for the leader: the cylinder, what is the matter,
// what to do.
func (t *turn) findingFor(f gas.Finding) message.Line {
	text, do := message.FindingForLeader(f)
	a := message.Args{"text": message.Of(text)}
	key := "board.why"
	if _, c := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); c != nil {
		key, a["cylinder"] = key+".cylinder", message.Of(t.cylinderOn(c))
	}
	if do.Key != "" {
		key, a["do"] = key+".do", message.Of(do)
	}
	return message.Say(key, a)
}

// cylinderLine is what one cylinder holds: the reading and the label's depth.
func (t *turn) cylinderLine(c *roster.Cylinder, n *gas.Numbers) message.Line {
	return message.Say("board.cylinder", message.Args{"cylinder": message.Of(t.cylinderOn(c)),
		"label": message.Of(message.Label(t.trip.Policy, t.shownOf(c, n), n.Label))})
}

// worthSaying is a difference in points that half a point for missing decimals
// doesn't explain.
const worthSaying gas.Percent = 0.6

// shownOf is the reading as the analyser showed it; where another is so much
// richer that it counts for the depth, and on a board of the past, the value that
// was held against the depth.
func (t *turn) shownOf(c *roster.Cylinder, n *gas.Numbers) gas.Percent {
	if r := t.trip.ShownOf(c.ID, t.now); r != nil && n.Lean <= r.Percent && r.Percent <= n.Rich &&
		n.Rich-r.Percent <= worthSaying {
		return r.Percent
	}
	return n.Rich
}

// teamLines say each team's depth and time and whose they are, in one line.
func (t *turn) teamLines(b *roster.Board) []message.Line {
	var lines []message.Line
	for _, team := range b.Teams {
		lines = append(lines, t.tightestLines("board.team", message.Args{"team": message.Name(team.Team)}, b.Dive,
			team.Tightest)...)
	}
	return section("board.teams", lines)
}

// verdictLines are how people stand on a dive, each by themselves.
func (t *turn) verdictLines(dive int, people ...*roster.Person) []message.Line {
	var lines []message.Line
	for _, p := range people {
		t.shown[standing{p.ID, dive}] = true
		if c := t.clearance(p.ID, dive); c.Active || c.Out != nil || c.Outside != nil {
			lines = append(lines, t.personLine(c))
		}
	}
	return lines
}
