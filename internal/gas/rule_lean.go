package gas

// The outcomes of the rule "lean": what a gas leaner than asked for costs in
// minutes.
var (
	leanNot       = Outcome{Rule: RuleLean, Case: "no", Severity: Pass, Source: sourceZHL}
	leanCosts     = Outcome{Rule: RuleLean, Case: "costs", Severity: Pass, Source: sourceZHL}
	leanUnlimited = Outcome{Rule: RuleLean, Case: "was-unlimited", Severity: Pass, Source: sourceZHL}
	leanPlan      = Outcome{Rule: RuleLean, Case: "plan", Severity: Limits, Do: "shorter", Source: sourceZHL}
	leanNoTime    = Outcome{Rule: RuleLean, Case: "plan-no-time", Severity: Limits, Do: "ask-leader-shallower",
		Source: sourceZHL}
	leanNotAsked = Outcome{Rule: RuleLean, Case: "not-asked", Severity: NotApplicable}
	leanOwn      = Outcome{Rule: RuleLean, Case: "own-computer", Severity: NotApplicable}
	leanOwnPlan  = Outcome{Rule: RuleLean, Case: "plan-own-computer", Severity: Limits, Do: "own-computer",
		Source: sourceZHL}
	leanUnknown = Outcome{Rule: RuleLean, Case: "day-unknown", Severity: NotApplicable}
	leanNotRead = notRead(RuleLean)
)

var leanRule = rule{leanCheck, []Outcome{leanNot, leanCosts, leanUnlimited, leanPlan, leanNoTime, leanNotAsked, leanOwn,
	leanOwnPlan,
	leanUnknown, leanNotRead}}

// leanCheck compares the no-stop times of what is in the cylinder and of what
// was asked for, in whole minutes. It limits only a plan that the blend asked
// for would have allowed.
func leanCheck(s *subject) Finding {
	switch {
	case !s.asked().Known():
		return leanNotAsked.finding()
	case !s.planned || !s.hasReading():
		return leanNotRead.finding()
	case !s.day.known:
		return leanUnknown.finding()
	}
	o := s.leanOutcome()
	if s.diver.OwnComputer {
		return s.leanOwn(o)
	}
	is, asked := s.noStop, s.noStopAsked
	f := o.finding()
	f.Other = s.asked()
	limited := is.State == NoStopLimited || o == leanPlan // no time at all is 0 min
	if limited && asked.State == NoStopLimited {
		f = f.minutes(is.Minutes, asked.Minutes)
		f.Margin = Of(is.Minutes - asked.Minutes)
	} else if limited && (o == leanUnlimited || o == leanPlan) {
		f.Measured, f.Unit = Of(is.Minutes), "min"
	}
	if o == leanPlan {
		f.MaxMinutes, _ = is.whole()
	}
	if o == leanPlan && f.MaxMinutes < 1 {
		f.Case, f.Do = leanNoTime.Case, leanNoTime.Do // no time is left to start up after
	}
	return f
}

// leanOwn is the outcome for who dived in the 24 hours before: without minutes,
// which say too much.
func (s *subject) leanOwn(o Outcome) Finding {
	if o != leanPlan {
		return leanOwn.finding()
	}
	f := leanOwnPlan.finding()
	f.Other = s.asked()
	return f
}

func (s *subject) leanOutcome() Outcome {
	whole, limited := s.noStop.whole()
	was, wasLimited := s.noStopAsked.whole()
	planned := s.diver.Dive.Minutes
	switch {
	case s.lean >= s.asked()-exactly:
		return leanNot
	case validMinutes(planned) && s.noStopAsked.allows(planned) && !s.noStop.allows(planned):
		return leanPlan
	case !limited || whole < 1:
		return leanNot // nothing lost, or no time at all: rule no-stop says so
	case !wasLimited:
		return leanUnlimited
	case was > whole:
		return leanCosts
	}
	return leanNot
}
