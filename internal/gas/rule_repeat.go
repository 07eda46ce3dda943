package gas

import "math"

// How far two readings of one cylinder may lie apart, in points: from note on
// it is remarked, above settle it has to be settled. Common practice, no source.
var (
	repeatSame  = repeatBounds{note: 0.5, settle: 1.0} // on one analyser
	repeatOther = repeatBounds{note: 1.0, settle: 2.0} // on two, or shop against diver
)

type repeatBounds struct{ note, settle float64 }

// The outcomes of the rule "repeat".
var (
	repeatAgree     = Outcome{Rule: RuleRepeat, Case: "agree", Severity: Pass, Source: sourceAnalyser}
	repeatApart     = Outcome{Rule: RuleRepeat, Case: "apart", Severity: Note, Source: sourceAnalyser}
	repeatUnsettled = Outcome{Rule: RuleRepeat, Case: "unsettled", Severity: Missing, Do: "settle-repeat", Source: sourceAnalyser}
	repeatSettled   = Outcome{Rule: RuleRepeat, Case: "settled", Severity: Note, Source: sourceAnalyser}
	repeatSingle    = Outcome{Rule: RuleRepeat, Case: "single", Severity: NotApplicable}
	repeatNotRead   = notRead(RuleRepeat)
)

var repeatRule = rule{repeatCheck, []Outcome{repeatAgree, repeatApart, repeatUnsettled, repeatSettled, repeatSingle, repeatNotRead}}

// repeatCheck compares each reading with the one before. A disagreement stays
// until a later, third reading is taken after calibration with the leader
// watching.
func repeatCheck(s *subject) Finding {
	switch len(s.readings) {
	case 0:
		return repeatNotRead.finding()
	case 1:
		return repeatSingle.finding()
	}
	at, settled := s.disputed()
	if at > 0 {
		return s.repeatFinding(repeatUnsettled, at)
	}
	last := len(s.readings) - 1
	switch apart, b := s.apart(last); {
	case settled:
		return s.repeatFinding(repeatSettled, last)
	case apart >= b.note-exactly:
		return s.repeatFinding(repeatApart, last)
	}
	return s.repeatFinding(repeatAgree, last)
}

// disputed is the place of the latest reading that disagrees with the one
// before it and was not settled since, 0 when there is none; settled tells
// whether the newest reading is one that settled something.
func (s *subject) disputed() (at int, settled bool) {
	for i := 1; i < len(s.readings); i++ {
		r := &s.readings[i]
		apart, b := s.apart(i)
		switch {
		case at > 0 && r.By == Witnessed && r.Calibrated:
			at, settled = 0, true
		case over(apart, b.settle):
			at, settled = i, false
		}
	}
	return at, settled
}

// apart is how far reading i lies from the one before, with the bounds that
// hold for the two.
func (s *subject) apart(i int) (float64, repeatBounds) {
	a, b := &s.readings[i-1], &s.readings[i]
	apart := math.Abs(float64(a.Percent - b.Percent))
	two := a.Analyser != b.Analyser && a.Analyser != "" && b.Analyser != "" // an unnamed one may be the same
	if two || (a.By == ByShop) != (b.By == ByShop) {
		return apart, repeatOther
	}
	return apart, repeatSame
}

func (s *subject) repeatFinding(o Outcome, i int) Finding {
	apart, b := s.apart(i)
	f := o.finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(apart), Of(b.settle), Of(b.settle-apart), "points"
	f.Other = s.readings[i-1].Percent
	return f
}
