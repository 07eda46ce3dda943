package gas

import "math"

// The outcomes of the rule "asked".
var (
	askedNear      = Outcome{Rule: RuleAsked, Case: "near", Severity: Pass, Source: sourceFill}
	askedRicher    = Outcome{Rule: RuleAsked, Case: "richer", Severity: Note, Do: "reanalyse", Source: sourceFill}
	askedLeaner    = Outcome{Rule: RuleAsked, Case: "leaner", Severity: Note, Do: "reanalyse", Source: sourceFill}
	askedFar       = Outcome{Rule: RuleAsked, Case: "far", Severity: Limits, Do: "replan", Source: sourceCustom}
	askedReplanned = Outcome{Rule: RuleAsked, Case: "replanned", Severity: Note, Source: sourceCustom}
	askedNothing   = Outcome{Rule: RuleAsked, Case: "not-given", Severity: NotApplicable}
	askedNotRead   = notRead(RuleAsked)
)

var askedRule = rule{askedCheck, []Outcome{askedNear, askedRicher, askedLeaner, askedFar, askedReplanned, askedNothing, askedNotRead}}

// askedCheck holds the newest reading against the requested blend. Margin is what
// is left of the tolerance, in points.
func askedCheck(s *subject) Finding {
	switch {
	case !s.asked().Known():
		return askedNothing.finding()
	case !s.hasReading():
		return askedNotRead.finding()
	}
	off := float64(s.newest().Percent - s.asked())
	f := s.askedOutcome(off).finding()
	limit := s.policy.Tolerance
	if f.Case == askedFar.Case || f.Case == askedReplanned.Case {
		limit = s.policy.TellShop
	}
	f.Measured, f.Limit, f.Margin, f.Unit = Of(off), Of(limit), Of(limit-math.Abs(off)), "points"
	f.Other = s.asked()
	return f
}

func (s *subject) askedOutcome(off float64) Outcome {
	switch {
	case over(math.Abs(off), s.policy.TellShop) && s.cyl.Replanned:
		return askedReplanned
	case over(math.Abs(off), s.policy.TellShop):
		return askedFar
	case over(off, s.policy.Tolerance):
		return askedRicher
	case over(-off, s.policy.Tolerance):
		return askedLeaner
	default:
		return askedNear
	}
}
