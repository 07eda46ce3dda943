package gas

// The outcomes of the rule "depth".
var (
	depthFits    = Outcome{Rule: RuleDepth, Case: "fits", Severity: Pass, Source: sourceNOAA}
	depthLabel   = Outcome{Rule: RuleDepth, Case: "label", Severity: Limits, Do: "stay-above", Source: sourceNOAA}
	depthTooDeep = Outcome{Rule: RuleDepth, Case: "too-deep", Severity: Stop, Do: "too-rich", Source: sourceNOAA}
	depthNoMix   = Outcome{Rule: RuleDepth, Case: "too-deep-for-air", Severity: Stop, Do: "ask-leader-shallower",
		Source: sourceNOAA}
	depthNoPlan = Outcome{Rule: RuleDepth, Case: "no-plan", Severity: Missing, Do: "ask-leader-plan",
		Source: sourceCustom}
	depthNotRead = notRead(RuleDepth)
)

var depthRule = rule{depthCheck, []Outcome{depthFits, depthLabel, depthTooDeep, depthNoMix, depthNoPlan, depthNotRead}}

// depthCheck holds the planned depth against the MOD at the working limit:
// the exact MOD decides, the whole one on the label limits.
func depthCheck(s *subject) Finding {
	switch {
	case !s.planned:
		return depthNoPlan.finding()
	case !s.hasReading():
		return depthNotRead.finding()
	case s.depth.DeeperThan(s.mod):
		f := s.orNoMix(depthTooDeep, depthNoMix).depth(s.depth, s.mod)
		f.PPO2 = s.ppo2
		return f
	case s.depth.DeeperThan(s.label):
		f := depthLabel.finding().depth(s.depth, s.label)
		f.PPO2, f.MaxDepth = s.ppo2, s.max // the diver may be held shallower than the label
		return f
	}
	f := depthFits.finding().depth(s.depth, s.mod)
	f.PPO2 = s.ppo2
	return f
}

// depth fills in the three numbers of a finding about depths of one unit.
func (f Finding) depth(measured, limit Depth) Finding {
	f.Measured, f.Limit = Of(measured.Value), Of(limit.Value)
	f.Margin, f.Unit = Of(limit.Value-measured.Value), limit.Unit.String()
	return f
}

// orNoMix is an outcome that recommends the richest mix that fits, or another
// one where not even air does.
func (s *subject) orNoMix(fits, none Outcome) Finding {
	mix := s.bestMix()
	if mix < Air {
		return none.finding()
	}
	f := fits.finding()
	f.Mix = mix
	return f
}
