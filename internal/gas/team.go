package gas

// TeamLimits are the depth and the time of divers who stay together on one
// dive, and who sets each: an index into the verdicts given, -1 for nobody.
// The two need not be set by the same diver: the richest gas sets the depth,
// the leanest the time. Source: university scientific-diving manuals; common
// practice.
type TeamLimits struct {
	Dive       int
	MaxDepth   Depth // the shallowest MOD or limit, whole
	DepthBy    int
	MaxMinutes float64 // the shortest no-stop time or limit; 0 when nobody has one
	TimeBy     int
}

// Team is the team's depth and time on one dive. Divers without a reading for
// the dive, or whose own verdict for it is no-go, set nothing: they are not
// going.
func Team(dive int, verdicts []*Verdict) TeamLimits {
	t := TeamLimits{Dive: dive, DepthBy: -1, TimeBy: -1}
	for i, v := range verdicts {
		if v.stopped(dive) {
			continue
		}
		for _, n := range v.Numbers {
			if n.Dive == dive && n.Rich.Known() {
				t.include(i, n)
			}
		}
	}
	return t
}

// include lets the cylinder of diver i count.
func (t *TeamLimits) include(i int, n Numbers) {
	if d := shallower(n.Label, n.MaxDepth); d.Known() && (t.DepthBy < 0 || t.MaxDepth.DeeperThan(d)) {
		t.MaxDepth, t.DepthBy = d, i
	}
	if m := shorter(n.NoStopMinutes(), n.MaxMinutes); m > 0 && (t.TimeBy < 0 || m < t.MaxMinutes) {
		t.MaxMinutes, t.TimeBy = m, i
	}
}

// ApplyTeam computes a team's limits on one dive and writes the finding "team"
// of each verdict: limits for a diver whom another's limit holds shallower or
// shorter than their own, pass for everybody else. Call it for each team and
// dive after Assess and before ShareLimits; a diver without a team keeps the
// not-applicable finding of Assess.
func ApplyTeam(dive int, verdicts []*Verdict) TeamLimits {
	team, limits := Team(dive, verdicts), heldBy(dive, verdicts)
	for i, v := range verdicts {
		v.applyTeam(i, limits)
	}
	return team
}

// heldBy is the strictest limit that some member of the team carries, which is
// less than Team says: a MOD far below the dive holds nobody back.
func heldBy(dive int, verdicts []*Verdict) TeamLimits {
	t := TeamLimits{Dive: dive, DepthBy: -1, TimeBy: -1}
	for i, v := range verdicts {
		if v.stopped(dive) {
			continue
		}
		for _, n := range v.Numbers {
			if n.Dive == dive {
				t.include(i, Numbers{MaxDepth: n.MaxDepth, MaxMinutes: n.MaxMinutes})
			}
		}
	}
	return t
}

// applyTeam replaces the team findings of one dive. Numbers follow.
func (v *Verdict) applyTeam(me int, t TeamLimits) {
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Rule != RuleTeam || f.Dive != t.Dive {
			continue
		}
		n := v.numbersOf(f.Cylinder, f.Dive)
		if n == nil || !n.Rich.Known() {
			continue
		}
		key := f.Cylinder
		*f = teamFinding(me, *n, t)
		f.Cylinder, f.Dive = key, t.Dive
		n.limit(f)
	}
}

// teamFinding holds one cylinder's own limits against the team's.
func teamFinding(me int, n Numbers, t TeamLimits) Finding {
	f := teamOwn.finding()
	depth := t.DepthBy >= 0 && t.DepthBy != me && (!n.MaxDepth.Known() || n.MaxDepth.DeeperThan(t.MaxDepth))
	short := t.TimeBy >= 0 && t.TimeBy != me && (n.MaxMinutes == 0 || n.MaxMinutes > t.MaxMinutes+exactly)
	switch {
	case depth && short:
		f = teamBoth.finding()
	case depth:
		f = teamDepth.finding()
	case short:
		f = teamTime.finding()
	}
	if depth {
		f.MaxDepth = t.MaxDepth
	}
	if short {
		f.MaxMinutes = t.MaxMinutes
	}
	return f
}

// The outcomes of the rule "team".
var (
	teamNone  = Outcome{Rule: RuleTeam, Case: "no-team", Severity: NotApplicable}
	teamOwn   = Outcome{Rule: RuleTeam, Case: "own", Severity: Pass, Source: sourceTeam}
	teamDepth = Outcome{Rule: RuleTeam, Case: "depth", Severity: Limits, Do: "stay-with-team", Source: sourceTeam}
	teamTime  = Outcome{Rule: RuleTeam, Case: "time", Severity: Limits, Do: "stay-with-team", Source: sourceTeam}
	teamBoth  = Outcome{Rule: RuleTeam, Case: "depth-and-time", Severity: Limits, Do: "stay-with-team", Source: sourceTeam}
)

// teamRule only says that no team was given: one diver alone can't be held
// against a team. ApplyTeam writes the rest.
var teamRule = rule{
	check:    func(*subject) Finding { return teamNone.finding() },
	outcomes: []Outcome{teamNone, teamOwn, teamDepth, teamTime, teamBoth},
}

// shallower is the shallower of two depths of one unit, ignoring unknown ones.
func shallower(a, b Depth) Depth {
	if !a.Known() || (b.Known() && a.DeeperThan(b)) {
		return b
	}
	return a
}

// shorter is the shorter of two times in minutes, ignoring zeroes.
func shorter(a, b float64) float64 {
	if a <= 0 || (b > 0 && b < a) {
		return b
	}
	return a
}
