package gas

// The outcomes of the rule "repeat".
var (
	repeatAgree     = Outcome{Rule: RuleRepeat, Case: "agree", Severity: Pass, Source: sourceAnalyser}
	repeatApart     = Outcome{Rule: RuleRepeat, Case: "apart", Severity: Note, Source: sourceAnalyser}
	repeatUnsettled = Outcome{Rule: RuleRepeat, Case: "unsettled", Severity: Missing, Do: "settle-repeat",
		Source: sourceAnalyser}
	repeatBothFit = Outcome{Rule: RuleRepeat, Case: "unsettled-both-fit", Severity: Limits, Do: "settle-repeat",
		Source: sourceAnalyser}
	repeatSettled = Outcome{Rule: RuleRepeat, Case: "settled", Severity: Pass, Source: sourceAnalyser}
	repeatSingle  = Outcome{Rule: RuleRepeat, Case: "single", Severity: NotApplicable}
	repeatNotRead = notRead(RuleRepeat)
)

var repeatRule = rule{repeatCheck, []Outcome{repeatAgree, repeatApart, repeatUnsettled, repeatBothFit, repeatSettled,
	repeatSingle, repeatNotRead}}

// repeatCheck says whether the readings of a cylinder agree. A disagreement
// that is not settled is no reason to stop where the plan fits the richest and
// the leanest of them.
func repeatCheck(s *subject) Finding {
	switch a := &s.cyl.Apart; {
	case !s.hasReading():
		return repeatNotRead.finding()
	case s.cyl.Unsettled && s.bothFit():
		return a.finding(&repeatBothFit)
	case s.cyl.Unsettled:
		return a.finding(&repeatUnsettled)
	case a.Known && a.Points >= a.Note-exactly:
		return a.finding(&repeatApart)
	case s.cyl.Settled:
		return a.finding(&repeatSettled)
	case !a.Known:
		return repeatSingle.finding()
	default:
		return a.finding(&repeatAgree)
	}
}

// bothFit tells whether the plan fits the richest reading (depth, contingency,
// oxygen clock) and the leanest (no-stop) with no worse than a note: of all that the
// diver has on this dive. A rule that could not look fits nothing.
func (s *subject) bothFit() bool {
	for i := range s.all {
		if other := &s.all[i]; other.hasReading() && !other.fits() {
			return false
		}
	}
	return true
}

func (s *subject) fits() bool {
	for _, look := range []func(*subject) Finding{depthCheck, contingencyCheck, oxygenClockCheck, noStopCheck} {
		if f := look(s); f.Severity != Pass && f.Severity != Note {
			return false
		}
	}
	return true
}

func (a *Apart) finding(o *Outcome) Finding {
	f := o.finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(a.Points), Of(a.Settle), Of(a.Settle-a.Points), "points"
	f.Other = a.Earlier
	return f
}
