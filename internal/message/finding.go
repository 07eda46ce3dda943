package message

import (
	"math"

	"gasmuster/internal/gas"
)

// Finding is what a finding says and the one thing to do about it; the latter
// has no key when nothing is to be done. The texts are in findings.*.toml, as
// "finding.RULE.CASE" and "do.KEY", for every gas.Outcome.
func Finding(f gas.Finding) (text, do Line) {
	key := findingKey(f.Rule, f.Case)
	if f.Rule == gas.RuleLean && f.Measured.Known && !f.Limit.Known {
		key = "finding.lean.was-unlimited" // there is no other time to name
	}
	text = Say(key, findingArgs(&f))
	if f.Do != "" {
		do = Say("do."+f.Do, doArgs(&f))
	}
	return text, do
}

// FindingForLeader is Finding with what a leader can do about it, as
// "leader-do.KEY".
func FindingForLeader(f gas.Finding) (text, do Line) {
	text, do = Finding(f)
	if do.Key != "" {
		do.Key = "leader-" + do.Key
	}
	return text, do
}

func findingKey(r gas.Rule, c string) string {
	if c == gas.CaseNotRead {
		return "finding.not-read"
	}
	return "finding." + string(r) + "." + c
}

// doArgs are the limits to keep to, as far as a finding has any: all that is
// said about what to do.
func doArgs(f *gas.Finding) Args {
	a := Args{}
	if f.Mix.Known() {
		a["mix"] = Blend(f.Mix)
	}
	if f.MaxDepth.Known() {
		a["depth"] = Limit(f.MaxDepth)
	}
	if f.MaxMinutes > 0 {
		a["minutes"] = Minutes(f.MaxMinutes)
	}
	return a
}

// findingArgs are all numbers of a finding that are known: measured and limit
// as its unit says, and off, the measured points without their sign.
func findingArgs(f *gas.Finding) Args {
	a := doArgs(f)
	if f.Measured.Known {
		a["measured"] = findingMeasured(f)
	}
	if f.Rule == gas.RuleRepeat && !f.Measured.Known {
		a["measured"] = Name("?") // of readings that are no numbers
	}
	if f.Rule == gas.RuleImproved && !f.Other.Known() {
		a["other"] = Name("?")
	}
	if f.Limit.Known {
		a["limit"] = limitValue(f.Limit.Value, f.Unit)
	}
	if depth, ok := a["depth"]; ok && f.Rule == gas.RuleContingency && f.Unit != "atm" {
		a["limit"] = depth // where the gas ends is deeper than the diver may go: one depth is named
	}
	if f.Unit == "points" && f.Measured.Known {
		a["off"] = Points(math.Abs(f.Measured.Value))
	}
	if f.Rule == gas.RuleHumidAir && f.Margin.Known {
		a["off"] = Points(math.Round(math.Abs(f.Margin.Value)*10) / 10)
	}
	if f.Unit == "" && f.Measured.Known {
		a["count"] = Count(int(f.Measured.Value))
	}
	if f.Other.Known() {
		a["other"] = otherValue(f)
	}
	if f.Rule == gas.RuleDepth || f.Rule == gas.RuleBottom { // of a reading of 0 % it is 0
		a["ppo2"] = PPO2(f.PPO2)
	}
	return a
}

// findingMeasured writes what a finding measured. Two rules measure what is
// itself a limit or a sum: a no-stop time, rounded down, and the CNS clock,
// whole and rounded up.
func findingMeasured(f *gas.Finding) Value {
	switch {
	case f.Rule == gas.RuleLean:
		return Minutes(f.Measured.Value)
	case f.Rule == gas.RuleOxygenClock && f.Unit == "percent":
		return Count(int(math.Ceil(f.Measured.Value - lastDigit)))
	}
	return measuredValue(f.Measured.Value, f.Unit)
}

// measuredValue writes what was measured or planned, to the safe side.
func measuredValue(v float64, unit string) Value {
	switch unit {
	case "percent":
		return Percent(gas.Percent(v))
	case "m":
		return Planned(gas.M(v))
	case "ft":
		return Planned(gas.Ft(v))
	case "atm":
		return PPO2(gas.PPO2(v))
	case "min":
		return wholeMinutes(v)
	case "h", "ppm":
		return Points(math.Ceil(v*10-lastDigit) / 10)
	case "points":
		return Points(v)
	}
	return Count(int(v))
}

// wholeMinutes is a planned or lost time, rounded up.
func wholeMinutes(v float64) Value { return Minutes(math.Ceil(v - lastDigit)) }

// limitValue writes a limit, to the safe side.
func limitValue(v float64, unit string) Value {
	switch unit {
	case "percent":
		return Blend(gas.Percent(v))
	case "m":
		return Limit(gas.M(v))
	case "ft":
		return Limit(gas.Ft(v))
	case "atm":
		return PPO2(gas.PPO2(math.Floor(v*100+lastDigit) / 100))
	case "min":
		return Minutes(v)
	case "h", "ppm", "points":
		return Points(v)
	}
	return Count(int(v))
}

// otherValue is what a finding compares with: a blend that was asked for, or
// another reading.
func otherValue(f *gas.Finding) Value {
	switch f.Rule {
	case gas.RuleAsked, gas.RuleAirIsNotAir, gas.RuleMeasured, gas.RuleLean:
		return Blend(f.Other)
	case gas.RuleHumidAir: // computed: one decimal, as an analyser shows
		return Percent(gas.Percent(math.Round(float64(f.Other)*10) / 10))
	}
	return Percent(f.Other)
}
