package gas

// The outcomes of the rule "stale".
var (
	staleFresh = Outcome{Rule: RuleStale, Case: "fresh", Severity: Pass, Source: sourceCustom}
	staleOld   = Outcome{Rule: RuleStale, Case: "old", Severity: Missing, Do: "analyse", Source: sourceCustom}
	staleBoat  = Outcome{Rule: RuleStale, Case: "boat", Severity: Missing, Do: "analyse-boat", Source: sourceCustom}
	staleAsked = Outcome{Rule: RuleStale, Case: "boat-question", Severity: Missing, Do: "answer-boat-question",
		Source: sourceCustom}
	staleUndated = Outcome{Rule: RuleStale, Case: "undated", Severity: NotApplicable}
	staleNotRead = notRead(RuleStale)
)

var staleRule = rule{stale, []Outcome{staleFresh, staleOld, staleBoat, staleAsked, staleUndated, staleNotRead}}

// stale refuses readings that are too old at the later of the planned start
// and now, or for an open boat check, when none younger counts.
func stale(s *subject) Finding {
	switch {
	case !s.hasReading():
		return staleNotRead.finding()
	case !s.cyl.Dated:
		return staleUndated.finding()
	}
	f := s.staleOutcome().finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(s.cyl.Age), Of(s.cyl.Limit), Of(s.cyl.Limit-s.cyl.Age), "h"
	return f
}

func (s *subject) staleOutcome() *Outcome {
	if s.cyl.Counts() {
		return &staleFresh
	}
	switch s.cyl.Absent {
	case AbsentStale:
		return &staleOld
	case AbsentBoatReading:
		return &staleBoat
	case AbsentBoatQuestion:
		return &staleAsked
	}
	return &staleFresh
}
