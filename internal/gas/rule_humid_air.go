package gas

// humidDoubt is how far humid air may bias a reading without a remark, points.
// Common practice, no source: half of what an analyser's last digit is worth.
const humidDoubt = 0.2

// The outcomes of the rule "humid-air": an analyser set to 20.9 in warm, humid
// air reads every dry gas high.
var (
	humidSmall = Outcome{Rule: RuleHumidAir, Case: "small", Severity: Pass, Source: sourceHumid}
	humidHigh  = Outcome{Rule: RuleHumidAir, Case: "reads-high", Severity: Note, Do: "recalibrate-dry",
		Source: sourceHumid}
	humidTime    = Outcome{Rule: RuleHumidAir, Case: "time", Severity: Limits, Do: "shorter", Source: sourceHumid}
	humidOwnTime = Outcome{Rule: RuleHumidAir, Case: "time-own-computer", Severity: Limits, Do: "own-computer",
		Source: sourceHumid}
	humidNotGiven = Outcome{Rule: RuleHumidAir, Case: "not-given", Severity: NotApplicable}
	humidNotRead  = notRead(RuleHumidAir)
)

var humidAirRule = rule{humidAirCheck, []Outcome{humidSmall, humidHigh, humidTime, humidOwnTime, humidNotGiven,
	humidNotRead}}

// humidAirCheck says what humid air takes from a reading without an air point:
// nothing for depth, and for time the leaner value that evidence found. Other is
// that value, Margin what it lacks.
func humidAirCheck(s *subject) Finding {
	if !s.hasReading() {
		return humidNotRead.finding()
	}
	dry := s.cyl.Dry
	off := float64(dry - s.lean)
	if !dry.Known() || off <= 0 {
		return humidNotGiven.finding()
	}
	f := s.humidOutcome(off).finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(float64(dry)), Of(float64(s.lean)), Of(-off), "percent"
	f.Other = s.lean
	if f.Case == humidTime.Case {
		f.MaxMinutes, _ = s.noStop.whole()
	}
	return f
}

func (s *subject) humidOutcome(off float64) *Outcome {
	minutes := s.diver.Dive.Minutes
	costs := s.timed() == timeKnown && !s.noStop.allows(minutes) && s.noStopFor(s.cyl.Dry).allows(minutes)
	switch {
	case costs && s.diver.OwnComputer:
		return &humidOwnTime
	case costs:
		return &humidTime
	case off < humidDoubt:
		return &humidSmall
	}
	return &humidHigh
}
