package gas

// The outcomes of the rule "measured": was this number read off an analyser?
var (
	measuredPlain     = Outcome{Rule: RuleMeasured, Case: "plain", Severity: Pass, Source: sourceCustom}
	measuredConfirmed = Outcome{Rule: RuleMeasured, Case: "confirmed", Severity: Pass, Source: sourceCustom}
	measuredRound     = Outcome{Rule: RuleMeasured, Case: "as-asked", Severity: Missing, Do: "confirm-shown",
		Source: sourceCustom}
	measuredHurried = Outcome{Rule: RuleMeasured, Case: "hurried", Severity: Missing, Do: "confirm-shown",
		Source: sourceCustom}
	measuredWhole   = Outcome{Rule: RuleMeasured, Case: "no-decimals", Severity: Pass, Source: sourceAnalyser}
	measuredNotRead = notRead(RuleMeasured)
)

var measuredRule = rule{measured, []Outcome{measuredPlain, measuredConfirmed, measuredRound, measuredHurried,
	measuredWhole, measuredNotRead}}

// measured doubts a number that looks like what was ordered, or that came
// faster than an analyser settles, until it was said what the analyser showed.
func measured(s *subject) Finding {
	if !s.hasReading() {
		return measuredNotRead.finding()
	}
	m := &s.cyl.Measured
	f := measuredOutcome(m.State).finding()
	f.Measured, f.Unit, f.Other = Of(float64(m.Percent)), "percent", s.asked()
	return f
}

func measuredOutcome(m MeasuredState) *Outcome {
	switch m {
	case MeasuredPlain:
		return &measuredPlain
	case MeasuredConfirmed:
		return &measuredConfirmed
	case MeasuredWhole:
		return &measuredWhole
	case MeasuredRound:
		return &measuredRound
	}
	return &measuredHurried
}
