package gas

import "math"

// The outcomes of the rule "measured": was this number read off an analyser?
var (
	measuredPlain     = Outcome{Rule: RuleMeasured, Case: "plain", Severity: Pass, Source: sourceCustom}
	measuredConfirmed = Outcome{Rule: RuleMeasured, Case: "confirmed", Severity: Pass, Source: sourceCustom}
	measuredRound     = Outcome{Rule: RuleMeasured, Case: "as-asked", Severity: Note, Do: "confirm-shown", Source: sourceCustom}
	measuredHurried   = Outcome{Rule: RuleMeasured, Case: "hurried", Severity: Note, Do: "confirm-shown", Source: sourceCustom}
	measuredWhole     = Outcome{Rule: RuleMeasured, Case: "no-decimals", Severity: Note, Source: sourceAnalyser}
	measuredNotRead   = notRead(RuleMeasured)
)

var measuredRule = rule{measured, []Outcome{measuredPlain, measuredConfirmed, measuredRound, measuredHurried, measuredWhole, measuredNotRead}}

// measured notes a number that looks like what was ordered, or that came
// faster than an analyser settles, until the diver has said what it showed.
func measured(s *subject) Finding {
	if !s.hasReading() {
		return measuredNotRead.finding()
	}
	r := s.newest()
	f := s.measuredOutcome(r).finding()
	f.Measured, f.Unit, f.Other = Of(float64(r.Percent)), "percent", s.asked()
	return f
}

func (s *subject) measuredOutcome(r *Reading) Outcome {
	whole := float64(r.Percent) == math.Trunc(float64(r.Percent))
	switch {
	case r.Shown == ShownNoDecimal:
		return measuredWhole
	case r.Shown == ShownDecimals:
		return measuredConfirmed
	case r.Hurried:
		return measuredHurried
	case whole && r.Percent == s.asked():
		return measuredRound
	}
	return measuredPlain
}
