package gas

// The outcomes of the rules "leaders-limit", for one diver, and "team".
var (
	setLimit  = limitOutcomes(RuleSetLimit, "not-given", "keep-set-depth", sourceCustom)
	teamLimit = limitOutcomes(RuleTeam, "no-team", "stay-with-team", sourceTeam)
)

var (
	setLimitRule = diverRule{func(c *check) Finding { return c.limitFinding(c.diver.Set, setLimit) }, setLimit}
	teamRule     = diverRule{func(c *check) Finding { return c.limitFinding(c.diver.Team, teamLimit) }, teamLimit}
)

// The places in a list of limitOutcomes.
const (
	limitNone = iota
	limitLoose
	limitDepth
	limitTime
	limitBoth
)

func limitOutcomes(r Rule, none, do, source string) []Outcome {
	return []Outcome{
		limitNone:  {Rule: r, Case: none, Severity: NotApplicable},
		limitLoose: {Rule: r, Case: "loose", Severity: Pass, Source: source},
		limitDepth: {Rule: r, Case: "depth", Severity: Limits, Do: do, Source: source},
		limitTime:  {Rule: r, Case: "time", Severity: Limits, Do: "shorter", Source: source},
		limitBoth:  {Rule: r, Case: "depth-and-time", Severity: Limits, Do: do, Source: source},
	}
}

// limitFinding holds a leader's limit against the plan: tighter in depth, in
// time, or both. A limit looser than the plan shows in the diver's max alone.
func (c *check) limitFinding(l Limit, outcomes []Outcome) Finding {
	plan, ok := c.plan()
	if !ok || (!l.Depth.Known() && l.Minutes <= 0) {
		return outcomes[limitNone].finding()
	}
	most, at := l.Depth.LimitIn(plan.Unit), limitLoose
	shallow := l.Depth.Known() && plan.DeeperThan(most)
	short := l.Minutes > 0 && over(c.diver.Dive.Minutes, l.Minutes)
	switch {
	case shallow && short:
		at = limitBoth
	case shallow:
		at = limitDepth
	case short:
		at = limitTime
	}
	f := outcomes[at].finding()
	if shallow {
		f = f.depth(plan, most)
		f.MaxDepth = c.max
	}
	if short {
		f.MaxMinutes = l.Minutes
	}
	return f
}
