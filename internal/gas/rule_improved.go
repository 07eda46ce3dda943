package gas

// The outcomes of the rule "improved": a number said instead of a slip.
var (
	improvedNot   = Outcome{Rule: RuleImproved, Case: "no", Severity: Pass, Source: sourceCustom}
	improvedShown = Outcome{Rule: RuleImproved, Case: "shown", Severity: Pass, Source: sourceCustom}
	improvedOpen  = Outcome{Rule: RuleImproved, Case: "open", Severity: Missing, Do: "analyse-or-witness",
		Source: sourceCustom}
	improvedUnsaid = Outcome{Rule: RuleImproved, Case: "nothing-said", Severity: Missing, Do: "analyse-or-witness",
		Source: sourceCustom}
	improvedStops = Outcome{Rule: RuleImproved, Case: "stops", Severity: Stop, Do: "analyse-or-witness",
		Source: sourceCustom}
	improvedNone = Outcome{Rule: RuleImproved, Case: "not-corrected", Severity: NotApplicable}
)

var improvedRule = rule{improved, []Outcome{improvedNot, improvedShown, improvedOpen, improvedUnsaid, improvedStops,
	improvedNone}}

// improved doubts a number said instead of a slip, if it takes a no-go back or
// lies more than half a point away, until it is shown again. A no-go stays until
// then. Other is the slip.
func improved(s *subject) Finding {
	slip := &s.cyl.Slip
	f := improvedOutcome(slip).finding()
	if slip.State != SlipNone && slip.Was.Known() {
		f.Other = slip.Was
	}
	if slip.Is.Known() {
		f.Measured, f.Unit = Of(float64(slip.Is)), "percent"
	}
	return f
}

func improvedOutcome(slip *Slip) *Outcome {
	switch slip.State {
	case SlipNone:
		return &improvedNone
	case SlipSmall:
		return &improvedNot
	case SlipShown:
		return &improvedShown
	case SlipOpen:
		if !slip.Is.Known() {
			return &improvedUnsaid
		}
		return &improvedOpen
	}
	return &improvedStops
}
