package gas

// The outcomes of the rule "contingency".
var (
	contingencyWithin  = Outcome{Rule: RuleContingency, Case: "within", Severity: Pass, Source: sourceNOAAMax}
	contingencyPlanned = Outcome{Rule: RuleContingency, Case: "planned", Severity: Stop, Do: "too-rich",
		Source: sourceNOAAMax}
	contingencyNoMix = Outcome{Rule: RuleContingency, Case: "planned-too-deep-for-air", Severity: Stop,
		Do: "ask-leader-shallower", Source: sourceNOAAMax}
	contingencyBottom = Outcome{Rule: RuleContingency, Case: "bottom", Severity: Limits, Do: "hard-depth",
		Source: sourceNOAAMax}
	contingencyBottomless = Outcome{Rule: RuleContingency, Case: "bottomless", Severity: Limits, Do: "hard-depth",
		Source: sourceNOAAMax}
	contingencyLimited = Outcome{Rule: RuleContingency, Case: "bottomless-limited", Severity: Limits, Do: "hard-depth",
		Source: sourceNOAAMax}
	contingencyNoPlan  = Outcome{Rule: RuleContingency, Case: "not-given", Severity: NotApplicable}
	contingencyNotRead = notRead(RuleContingency)
)

var contingencyRule = rule{contingencyCheck, []Outcome{contingencyWithin, contingencyPlanned, contingencyNoMix,
	contingencyBottom,
	contingencyBottomless, contingencyLimited, contingencyNoPlan, contingencyNotRead}}

// contingencyCheck looks for oxygen above the contingency limit: at planned
// depth it is no plan at all, at the bottom it is one loss of control away.
func contingencyCheck(s *subject) Finding {
	switch {
	case !s.planned:
		return contingencyNoPlan.finding()
	case !s.hasReading():
		return contingencyNotRead.finding()
	case over(float64(s.ppo2), float64(s.policy.PPO2Max)):
		return s.orNoMix(contingencyPlanned, contingencyNoMix).atm(s.ppo2, s.policy.PPO2Max)
	case s.diver.Dive.Bottomless:
		f := contingencyBottomless.finding()
		if s.mod.LimitIn(s.max.Unit).DeeperThan(s.max) { // a convulsion is far below what limits the diver
			f = contingencyLimited.finding()
		}
		f.Limit, f.Unit, f.MaxDepth = Of(s.modMax.Value), s.modMax.Unit.String(), s.max
		return f
	case s.bottom.Known() && over(float64(s.ppo2Bottom), float64(s.policy.PPO2Max)):
		f := contingencyBottom.finding().atm(s.ppo2Bottom, s.policy.PPO2Max)
		f.MaxDepth = s.max
		return f
	}
	return contingencyWithin.finding().atm(max(s.ppo2, s.ppo2Bottom), s.policy.PPO2Max)
}

// atm fills in the three numbers of a finding about oxygen pressures.
func (f Finding) atm(measured, limit PPO2) Finding {
	f.Measured, f.Limit, f.Margin = Of(float64(measured)), Of(float64(limit)), Of(float64(limit-measured))
	f.Unit, f.PPO2 = "atm", measured
	return f
}
