package gas

// The outcomes of the rule "air-point". What an air point may be is in package
// evidence.
var (
	airPointFits = Outcome{Rule: RuleAirPoint, Case: "fits", Severity: Pass, Source: sourceAir}
	airPointOdd  = Outcome{Rule: RuleAirPoint, Case: "low", Severity: Note, Do: "recalibrate-dry", Source: sourceCustom}
	airPointBad  = Outcome{Rule: RuleAirPoint, Case: "off", Severity: Missing, Do: "recalibrate", Source: sourceCustom}
	airPointNone = Outcome{Rule: RuleAirPoint, Case: "not-given", Severity: NotApplicable}
)

var airPointRule = rule{airPoint, []Outcome{airPointFits, airPointOdd, airPointBad, airPointNone}}

// airPoint judges the analyser of the newest reading by what it showed in air.
// Outside, the reading doesn't count.
func airPoint(s *subject) Finding {
	a := &s.cyl.AirPoint
	o := airPointNone
	switch a.State {
	case AirPointNone:
		return o.finding()
	case AirPointFits:
		o = airPointFits
	case AirPointLow:
		o = airPointOdd
	default:
		o = airPointBad
	}
	limit, margin := a.Hi, a.Hi-a.Shown
	if below := a.Shown - a.Lo; below < margin {
		limit, margin = a.Lo, below
	}
	return o.finding().percent(a.Shown, limit, margin)
}
