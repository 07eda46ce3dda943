package gas

// The outcomes of the rule "no-stop": planned minutes against the no-stop time.
var (
	noStopWithin    = Outcome{Rule: RuleNoStop, Case: "within", Severity: Pass, Source: sourceZHL}
	noStopUnlimited = Outcome{Rule: RuleNoStop, Case: "unlimited", Severity: Pass, Source: sourceZHL}
	noStopOver      = Outcome{Rule: RuleNoStop, Case: "over", Severity: Limits, Do: "shorter", Source: sourceZHL}
	noStopOwn       = Outcome{Rule: RuleNoStop, Case: "own-computer", Severity: NotApplicable}
	noStopOwnOver   = Outcome{Rule: RuleNoStop, Case: "over-own-computer", Severity: Limits, Do: "own-computer",
		Source: sourceZHL}
	noStopNone  = Outcome{Rule: RuleNoStop, Case: "no-time", Severity: Stop, Do: "ask-leader-shallower", Source: sourceZHL}
	noStopLacks = timeOutcomes(RuleNoStop)
)

var noStopRule = rule{noStopCheck, append([]Outcome{noStopWithin, noStopUnlimited, noStopOver, noStopOwn,
	noStopOwnOver, noStopNone}, noStopLacks[1:]...)}

// noStopCheck holds the planned minutes against the whole minutes of the
// no-stop time: what is shown decides. For who dived in the 24 hours before, the
// time says too much: what breaks even that is found, and no minutes are named.
func noStopCheck(s *subject) Finding {
	if t := s.timed(); t != timeKnown {
		return noStopLacks[t].finding()
	}
	planned := s.diver.Dive.Minutes
	whole, limited := s.noStop.whole()
	switch {
	case s.diver.OwnComputer && s.noStop.allows(planned):
		return noStopOwn.finding()
	case s.noStop.State == NoStopUnlimited:
		f := noStopUnlimited.finding()
		f.Measured, f.Unit = Of(planned), "min"
		return f
	case !limited || whole < 1:
		return noStopNone.finding().minutes(planned, s.noStop.Minutes)
	case s.diver.OwnComputer:
		return noStopOwnOver.finding()
	case over(planned, whole):
		f := noStopOver.finding().minutes(planned, s.noStop.Minutes)
		f.MaxMinutes = whole
		return f
	}
	return noStopWithin.finding().minutes(planned, s.noStop.Minutes)
}

// minutes fills in the three numbers of a finding about times.
func (f Finding) minutes(measured, limit float64) Finding {
	f.Measured, f.Limit, f.Margin, f.Unit = Of(measured), Of(limit), Of(limit-measured), "min"
	return f
}
