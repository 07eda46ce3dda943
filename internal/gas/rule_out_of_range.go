package gas

// lowest is the leanest reading that can be air or enriched air: below it the
// analyser or the gas is at fault. Common practice, no source.
const lowest Percent = 20.0

// The outcomes of the rule "out-of-range".
var (
	rangeIn   = Outcome{Rule: RuleOutOfRange, Case: "in", Severity: Pass, Source: sourceOver40}
	rangeLow  = Outcome{Rule: RuleOutOfRange, Case: "low", Severity: Stop, Do: "recalibrate", Source: sourceCustom}
	rangeHigh = Outcome{Rule: RuleOutOfRange, Case: "high", Severity: Stop, Do: "swap", Source: sourceOver40}
	rangeNone = notRead(RuleOutOfRange)
)

var outOfRangeRule = rule{outOfRange, []Outcome{rangeIn, rangeLow, rangeHigh, rangeNone}}

// outOfRange refuses a gas that is neither air nor enriched air as this check
// knows it. Each compared number is looked at by itself, as it was shown.
func outOfRange(s *subject) Finding {
	if !s.hasReading() {
		return rangeNone.finding()
	}
	lo, hi := s.shown()
	switch {
	case over(float64(hi), float64(s.policy.MaxO2)):
		return rangeHigh.finding().percent(hi, s.policy.MaxO2, s.policy.MaxO2-hi)
	case over(float64(lowest), float64(lo)):
		return rangeLow.finding().percent(lo, lowest, lo-lowest)
	}
	return rangeIn.finding().percent(hi, s.policy.MaxO2, s.policy.MaxO2-hi)
}

// shown are the lowest and the highest of the compared numbers.
func (s *subject) shown() (lo, hi Percent) {
	lo, hi = 100, 0
	for i := range s.cyl.Compared {
		v := s.cyl.Compared[i].Percent
		lo, hi = min(lo, v), max(hi, v)
	}
	if hi == 0 {
		return s.lean, s.rich
	}
	return lo, hi
}

// percent fills in the three numbers of a finding about oxygen contents.
func (f Finding) percent(measured, limit, margin Percent) Finding {
	f.Measured, f.Limit, f.Margin, f.Unit = Of(float64(measured)), Of(float64(limit)), Of(float64(margin)), "percent"
	return f
}
