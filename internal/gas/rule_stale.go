package gas

// The outcomes of the rule "stale".
var (
	staleFresh   = Outcome{Rule: RuleStale, Case: "fresh", Severity: Pass, Source: sourceCustom}
	staleOld     = Outcome{Rule: RuleStale, Case: "old", Severity: Missing, Do: "analyse", Source: sourceCustom}
	staleRefill  = Outcome{Rule: RuleStale, Case: "refilled", Severity: Missing, Do: "analyse", Source: sourceCustom}
	staleUndated = Outcome{Rule: RuleStale, Case: "undated", Severity: NotApplicable}
	staleNotRead = notRead(RuleStale)
)

var staleRule = rule{stale, []Outcome{staleFresh, staleOld, staleRefill, staleUndated, staleNotRead}}

// stale refuses readings from before the last fill, and a newest reading that
// will be too old when this dive starts.
func stale(s *subject) Finding {
	if !s.hasReading() {
		if s.readBeforeFill() {
			return staleRefill.finding()
		}
		return staleNotRead.finding()
	}
	at, start := s.newest().At, s.cyl.Dive.Start
	if start.IsZero() {
		start = s.now
	}
	if at.IsZero() || start.IsZero() {
		return staleUndated.finding()
	}
	age := start.Sub(at).Hours()
	o := staleFresh
	if over(age, s.policy.FreshFor) {
		o = staleOld
	}
	f := o.finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(age), Of(s.policy.FreshFor), Of(s.policy.FreshFor-age), "h"
	return f
}

// readBeforeFill tells whether the cylinder was read, but only before its last fill.
func (s *subject) readBeforeFill() bool {
	for _, r := range s.cyl.Readings {
		if r.valid() && r.At.Before(s.cyl.Filled) {
			return true
		}
	}
	return false
}
