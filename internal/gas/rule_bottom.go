package gas

// The outcomes of the rule "bottom": the deepest point that a diver can get
// to, wanted or not.
var (
	bottomWithin     = Outcome{Rule: RuleBottom, Case: "within", Severity: Pass, Source: sourceNOAA}
	bottomDeeper     = Outcome{Rule: RuleBottom, Case: "deeper", Severity: Limits, Do: "hard-depth", Source: sourceNOAA}
	bottomBottomless = Outcome{Rule: RuleBottom, Case: "bottomless", Severity: Limits, Do: "hard-depth",
		Source: sourceNOAA}
	bottomNotGiven = Outcome{Rule: RuleBottom, Case: "not-given", Severity: NotApplicable}
	bottomNotRead  = notRead(RuleBottom)
)

var bottomRule = rule{bottomCheck, []Outcome{bottomWithin, bottomDeeper, bottomBottomless, bottomNotGiven,
	bottomNotRead}}

// bottomCheck makes the diver's max a hard depth where the site goes on below it.
func bottomCheck(s *subject) Finding {
	switch {
	case !s.bottom.Known() && !s.diver.Dive.Bottomless:
		return bottomNotGiven.finding()
	case !s.planned || !s.max.Known():
		return bottomNotRead.finding()
	case s.diver.Dive.Bottomless:
		f := bottomBottomless.finding()
		f.MaxDepth, f.Limit, f.Unit = s.max, Of(s.max.Value), s.max.Unit.String()
		return f
	case s.bottom.DeeperThan(s.max):
		f := bottomDeeper.finding().depth(s.bottom, s.max)
		f.MaxDepth, f.PPO2 = s.max, s.ppo2Bottom
		return f
	}
	f := bottomWithin.finding().depth(s.bottom, s.max)
	f.PPO2 = s.ppo2Bottom
	return f
}
