package gas

// When the CNS clock limits, percent of the NOAA limits. The end is NOAA's;
// 80 is common practice, no source.
const (
	clockHigh = 80.0
	clockFull = 100.0
)

// The outcomes of the rule "oxygen-clock".
var (
	clockWithin   = Outcome{Rule: RuleOxygenClock, Case: "within", Severity: Pass, Source: sourceOxygen}
	clockLimits   = Outcome{Rule: RuleOxygenClock, Case: "high", Severity: Limits, Do: "last-oxygen", Source: sourceOxygen}
	clockOver     = Outcome{Rule: RuleOxygenClock, Case: "over", Severity: Stop, Do: "less-oxygen", Source: sourceOxygen}
	clockOffTable = Outcome{Rule: RuleOxygenClock, Case: "off-table", Severity: Stop, Do: "too-rich", Source: sourceOxygen}
	clockNoMix    = Outcome{Rule: RuleOxygenClock, Case: "off-table-for-air", Severity: Stop, Do: "ask-leader-shallower", Source: sourceOxygen}
	clockLacks    = timeOutcomes(RuleOxygenClock)
)

var oxygenClockRule = rule{oxygenClockCheck, append([]Outcome{clockWithin, clockLimits, clockOver, clockOffTable, clockNoMix}, clockLacks[1:]...)}

// oxygenClockCheck holds the day's oxygen up to and with this dive against the
// NOAA limits, single and 24 hours: the higher percentage counts.
func oxygenClockCheck(s *subject) Finding {
	if s.planned && s.hasReading() && over(float64(s.ppo2), oxygenEnd) {
		return s.orNoMix(clockOffTable, clockNoMix).atm(s.ppo2, oxygenEnd)
	}
	t := s.timed()
	if t == timeKnown && !s.clocked {
		t = timeDayUnknown // an earlier dive was off the table
	}
	if t != timeKnown {
		return clockLacks[t].finding()
	}
	clock := max(s.oxygen.CNS, s.oxygen.CNS24)
	o, limit := clockWithin, clockHigh
	switch {
	case over(clock, clockFull):
		o, limit = clockOver, clockFull
	case over(clock, clockHigh):
		o = clockLimits
	}
	f := o.finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(clock), Of(limit), Of(limit-clock), "percent"
	return f
}
