package gas

import "math"

// What an analyser may show in fresh air whose weather is not known: dry air
// has 20.95 %, warm humid air down to 20.2; 20.9 +- 0.2 needs no remark. The
// ranges are common practice, no source.
const (
	airPointLow   Percent = 20.2
	airPointNote  Percent = 20.7
	airPointHigh  Percent = 21.1
	airPointUsual Percent = 20.9
)

// The outcomes of the rule "air-point".
var (
	airPointFits = Outcome{Rule: RuleAirPoint, Case: "fits", Severity: Pass, Source: sourceAir}
	airPointOdd  = Outcome{Rule: RuleAirPoint, Case: "low", Severity: Note, Do: "recalibrate-dry", Source: sourceCustom}
	airPointBad  = Outcome{Rule: RuleAirPoint, Case: "off", Severity: Missing, Do: "recalibrate", Source: sourceCustom}
	airPointNaN  = Outcome{Rule: RuleAirPoint, Case: "no-number", Severity: Missing, Do: "recalibrate", Source: sourceCustom}
	airPointNone = Outcome{Rule: RuleAirPoint, Case: "not-given", Severity: NotApplicable}
)

var airPointRule = rule{airPoint, []Outcome{airPointFits, airPointOdd, airPointBad, airPointNaN, airPointNone}}

// airPoint judges the analyser of the newest reading by what it showed in
// fresh air. Outside, the reading doesn't count.
func airPoint(s *subject) Finding {
	r := s.newest()
	if s.refused.valid() {
		r = s.refused
	}
	switch {
	case r.AirPoint == 0:
		return airPointNone.finding()
	case !r.AirPoint.Known():
		return airPointNaN.finding()
	}
	o := airPointFits
	switch {
	case airPointOff(r.AirPoint):
		o = airPointBad
	case over(float64(airPointNote), float64(r.AirPoint)):
		o = airPointOdd
	}
	limit := airPointHigh
	if r.AirPoint < airPointUsual {
		limit = airPointLow
	}
	return o.finding().percent(r.AirPoint, limit, Percent(math.Abs(float64(limit-airPointUsual))-math.Abs(float64(r.AirPoint-airPointUsual))))
}

// airPointOff tells whether an air point was given and lies outside of what
// any fresh air shows.
func airPointOff(p Percent) bool {
	if p == 0 {
		return false
	}
	return !(p >= airPointLow-exactly && p <= airPointHigh+exactly)
}
