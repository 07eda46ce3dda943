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

var askedRule = rule{askedCheck, []Outcome{askedNear, askedRicher, askedLeaner, askedFar, askedReplanned, askedNothing,
	askedNotRead}}

// askedCheck holds the reading that lies farthest off against the requested
// blend, of those of this diver that count or would but for their age. Margin is what is left of
// the tolerance, in points.
func askedCheck(s *subject) Finding {
	switch {
	case !s.asked().Known() && !s.cyl.Deviation.Known:
		return askedNothing.finding()
	case !s.hasReading() || !s.cyl.Deviation.Known && !s.cyl.Counts():
		return askedNotRead.finding()
	}
	d := s.deviation()
	off := d.Off
	o := s.askedOutcome(d)
	f := o.finding()
	limit := s.policy.Tolerance
	if f.Case == askedFar.Case || f.Case == askedReplanned.Case {
		limit = s.policy.TellShop
	}
	f.Measured, f.Limit, f.Margin, f.Unit = Of(off), Of(limit), Of(limit-math.Abs(off)), "points"
	f.Other = d.Asked
	return f
}

// deviation is what evidence found, or that of a plain reading.
func (s *subject) deviation() Deviation {
	if d := s.cyl.Deviation; d.Known {
		return d
	}
	return Deviation{Known: true, Off: float64(s.rich - s.asked()), Asked: s.asked()}
}

func (s *subject) askedOutcome(d Deviation) Outcome {
	off := d.Off
	switch {
	case over(math.Abs(off), s.policy.TellShop) && d.Replanned:
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
