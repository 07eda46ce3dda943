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
	clockNoMix    = Outcome{Rule: RuleOxygenClock, Case: "off-table-for-air", Severity: Stop, Do: "ask-leader-shallower",
		Source: sourceOxygen}
	clockDay = Outcome{Rule: RuleOxygenClock, Case: "day-off-table", Severity: Stop, Do: "less-oxygen",
		Source: sourceOxygen}
	clockLacks = timeOutcomes(RuleOxygenClock)
)

var oxygenClockRule = rule{oxygenClockCheck,
	append([]Outcome{clockWithin, clockLimits, clockOver, clockOffTable, clockNoMix, clockDay},
		clockLacks[1:]...)}

// oxygenClockCheck holds the day's oxygen up to and with this dive against the
// NOAA limits, single and 24 hours: the higher percentage counts. What earlier
// dives took is a lower bound, whatever is known of this one.
func oxygenClockCheck(s *subject) Finding {
	earlier := s.day.oxygen.higher()
	switch {
	case s.planned && s.hasReading() && over(float64(s.ppo2), oxygenEnd):
		return s.orNoMix(clockOffTable, clockNoMix).atm(s.ppo2, oxygenEnd)
	case s.day.offTable:
		return clockDay.finding()
	case s.clocked:
		return clockFinding(s.oxygen.higher())
	case over(earlier, clockFull):
		return clockFinding(earlier)
	}
	t := s.timed()
	if t == timeKnown {
		t = timeNotRead
	}
	return clockLacks[t].finding()
}

// earlierOxygen is what the dives before took, for a diver who has no cylinder on
// this one yet: over the limit is a no-go without one.
func (c *check) earlierOxygen(findings []Finding) []Finding {
	if len(c.subjects) > 0 || !c.diver.Needed {
		return findings
	}
	s := subject{policy: &c.policy, diver: &c.diver, cyl: new(Cylinder), day: &c.load}
	s.plan()
	return c.add(findings, oxygenClockCheck(&s))
}

// higher is the higher of the two clocks, percent.
func (o Oxygen) higher() float64 { return max(o.CNS, o.CNS24) }

func clockFinding(clock float64) Finding {
	o, limit := &clockWithin, clockHigh
	switch {
	case over(clock, clockFull):
		o, limit = &clockOver, clockFull
	case over(clock, clockHigh):
		o = &clockLimits
	}
	f := o.finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(clock), Of(limit), Of(limit-clock), "percent"
	return f
}
