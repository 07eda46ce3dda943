package gas

// The outcomes of the rule "same-cylinder".
var (
	claimedOnce  = Outcome{Rule: RuleSameCylinder, Case: "own", Severity: Pass}
	claimedTwice = Outcome{Rule: RuleSameCylinder, Case: "claimed", Severity: Missing, Do: "settle-claims",
		Source: sourceCustom}
)

var sameCylinderRule = rule{sameCylinder, []Outcome{claimedOnce, claimedTwice}}

// sameCylinder stops everybody who claims a cylinder that others claim too.
func sameCylinder(s *subject) Finding {
	o := claimedOnce
	if s.cyl.Claims > 1 {
		o = claimedTwice
	}
	f := o.finding()
	f.Measured, f.Limit = Of(float64(max(1, s.cyl.Claims))), Of(1)
	f.Margin = Of(f.Limit.Value - f.Measured.Value)
	return f
}
