package gas

import "math"

// humidDoubt is how far humid air may bias a reading without a remark, points.
// Common practice, no source: half of what an analyser's last digit is worth.
const humidDoubt = 0.2

// The outcomes of the rule "humid-air": an analyser set to 20.9 in warm, humid
// air reads every dry gas high.
var (
	humidSmall    = Outcome{Rule: RuleHumidAir, Case: "small", Severity: Pass, Source: sourceHumid}
	humidHigh     = Outcome{Rule: RuleHumidAir, Case: "reads-high", Severity: Note, Do: "recalibrate-dry", Source: sourceHumid}
	humidLow      = Outcome{Rule: RuleHumidAir, Case: "reads-low", Severity: Note, Do: "recalibrate-dry", Source: sourceHumid}
	humidTime     = Outcome{Rule: RuleHumidAir, Case: "time", Severity: Limits, Do: "shorter", Source: sourceHumid}
	humidNoTime   = Outcome{Rule: RuleHumidAir, Case: "no-time", Severity: Stop, Do: "ask-leader-shallower", Source: sourceHumid}
	humidDepth    = Outcome{Rule: RuleHumidAir, Case: "depth", Severity: Limits, Do: "stay-above", Source: sourceHumid}
	humidNotGiven = Outcome{Rule: RuleHumidAir, Case: "not-given", Severity: NotApplicable}
	humidNotRead  = notRead(RuleHumidAir)
)

var humidAirRule = rule{humidAirCheck, []Outcome{humidSmall, humidHigh, humidLow, humidTime, humidNoTime, humidDepth, humidNotGiven, humidNotRead}}

// humidAirCheck corrects the newest reading for the air that the analyser was
// calibrated in, and checks both ways: the higher value for depth, the lower
// one for time. Limit is the true oxygen of that air, Other the corrected
// reading, Margin what the correction adds.
func humidAirCheck(s *subject) Finding {
	if !s.hasReading() {
		return humidNotRead.finding()
	}
	r := s.newest()
	air := r.Weather.Oxygen(s.cyl.Dive.Place.Altitude)
	if !air.Known() {
		return humidNotGiven.finding()
	}
	set := airPointUsual
	if r.AirPoint.Known() {
		set = r.AirPoint
	}
	corrected := min(r.Percent*air/set, 100)
	f := s.humidFinding(r.Percent, corrected)
	f.Measured, f.Limit, f.Margin, f.Unit = Of(float64(r.Percent)), Of(float64(air)), Of(float64(corrected-r.Percent)), "percent"
	f.Other = corrected
	return f
}

func (s *subject) humidFinding(read, corrected Percent) Finding {
	off := float64(corrected - read)
	if math.Abs(off) < humidDoubt {
		return humidSmall.finding()
	}
	if off > 0 {
		return s.humidDepthFinding(corrected)
	}
	return s.humidTimeFinding(corrected)
}

// humidDepthFinding is for an analyser that reads low: the gas is richer.
func (s *subject) humidDepthFinding(corrected Percent) Finding {
	if !s.planned {
		return humidLow.finding()
	}
	label := s.cyl.Dive.Place.MOD(corrected, s.policy.PPO2).Floor()
	if !s.depth.DeeperThan(label) {
		return humidLow.finding()
	}
	f := humidDepth.finding()
	f.MaxDepth = label
	return f
}

// humidTimeFinding is for an analyser that reads high: the gas is leaner, and
// its no-stop time shorter.
func (s *subject) humidTimeFinding(corrected Percent) Finding {
	if s.timed() != timeKnown {
		return humidHigh.finding()
	}
	time := s.noStopFor(min(corrected, s.lean))
	if time.allows(s.cyl.Dive.Minutes) {
		return humidHigh.finding()
	}
	whole, _ := time.whole()
	if whole < 1 {
		return humidNoTime.finding()
	}
	f := humidTime.finding()
	f.MaxMinutes = whole
	return f
}
