package gas

// What an analyser may show in fresh air whose weather is not known: dry air
// has 20.95 %, warm humid air down to 20.2; 20.9 +- 0.2 needs no remark. The
// ranges are common practice, no source.
const (
	airPointLow   Percent = 20.2
	airPointNote  Percent = 20.7
	airPointHigh  Percent = 21.1
	airPointUsual Percent = 20.9
)

// airPointSpread is how far from the true oxygen of its air an analyser may
// lie, points. Common practice, no source.
const airPointSpread Percent = 0.2

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
		r = &s.refused
	}
	switch {
	case r.AirPoint == 0:
		return airPointNone.finding()
	case !r.AirPoint.Known():
		return airPointNaN.finding()
	}
	lo, hi := s.airPointRange(r)
	o := airPointFits
	switch {
	case s.airPointOff(r):
		o = airPointBad
	case !r.Weather.valid() && over(float64(airPointNote), float64(r.AirPoint)):
		o = airPointOdd
	}
	limit, margin := hi, hi-r.AirPoint
	if below := r.AirPoint - lo; below < margin {
		limit, margin = lo, below
	}
	return o.finding().percent(r.AirPoint, limit, margin)
}

// airPointRange is what an analyser may show in that air: its true oxygen
// +- 0.2, or without the weather what any fresh air may show.
func (s *subject) airPointRange(r *Reading) (lo, hi Percent) {
	if air := r.Weather.Oxygen(s.cyl.Dive.Place.Altitude); air.Known() {
		return air - airPointSpread, air + airPointSpread
	}
	return airPointLow, airPointHigh
}

// airPointOff tells whether an air point was given and lies outside of what
// that air can show.
func (s *subject) airPointOff(r *Reading) bool {
	if r.AirPoint == 0 {
		return false
	}
	lo, hi := s.airPointRange(r)
	return !(r.AirPoint >= lo-exactly && r.AirPoint <= hi+exactly)
}
