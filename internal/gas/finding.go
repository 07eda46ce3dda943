package gas

import "math"

// Amount is a number that may be absent.
type Amount struct {
	Value float64 `json:"value"`
	Known bool    `json:"known"`
}

// Of is a known amount; what is no number (NaN, an infinity) is not known.
func Of(v float64) Amount {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Amount{}
	}
	return Amount{v, true}
}

// Finding is what one rule says of one cylinder (or of the diver, when
// Cylinder is ""). It is data: the sentence is made in package message from
// Rule, Case and the numbers.
type Finding struct {
	Rule     Rule     `json:"rule"`
	Severity Severity `json:"severity"`
	Case     string   `json:"case"` // which outcome of the rule; one sentence each
	Cylinder string   `json:"cylinder,omitempty"`
	Dive     int      `json:"dive,omitempty"`

	Measured Amount `json:"measured"`
	Limit    Amount `json:"limit"`
	Margin   Amount `json:"margin"` // limit minus measured, in the direction that is safe when positive
	Unit     string `json:"unit"`   // of the three: "percent", "m", "ft", "atm", "min", "h", "s", "points", "ppm", ""

	MaxDepth   Depth   `json:"max_depth,omitzero"`   // the depth this finding limits to
	MaxMinutes float64 `json:"max_minutes,omitzero"` // the time this finding limits to
	Mix        Percent `json:"mix,omitzero"`         // the mix that would fit
	Other      Percent `json:"other,omitzero"`       // the other reading, the asked blend: what the case compares with
	PPO2       PPO2    `json:"ppo2,omitzero"`

	Do     string `json:"do"`     // key of the one thing to do; "" when nothing is
	Source string `json:"source"` // of the limit: a published document, or "common practice"
}

// Numbers are the figures of one cylinder on one dive, unrounded unless said.
type Numbers struct {
	Cylinder   string  `json:"cylinder"`
	Dive       int     `json:"dive"`
	Depth      Depth   `json:"depth"` // as planned
	Rich       Percent `json:"rich"`  // the percentage that counts for depth
	Lean       Percent `json:"lean"`  // the percentage that counts for time
	MOD        Depth   `json:"mod"`   // exact, at the working ppO2
	Label      Depth   `json:"label"` // MOD rounded down: what to write on the cylinder
	MODMax     Depth   `json:"mod_max"`
	PPO2       PPO2    `json:"ppo2"`                 // at planned depth
	PPO2Bottom PPO2    `json:"ppo2_bottom,omitzero"` // at the bottom, when given
	EAD        Depth   `json:"ead"`
	BestMix    Percent `json:"best_mix"`             // whole, rounded down, at planned depth, never above MaxO2
	Computer   Percent `json:"computer"`             // the one number to set, rounded down
	MaxDepth   Depth   `json:"max_depth,omitzero"`   // shallowest limit of its findings, zero when none
	MaxMinutes float64 `json:"max_minutes,omitzero"` // shortest limit of its findings, zero when none

	// No-stop times at the depth checked, residual nitrogen included.
	NoStop      NoStop `json:"no_stop"`                // for Lean
	NoStopAsked NoStop `json:"no_stop_asked,omitzero"` // for the blend asked for
	Navy        NoStop `json:"navy_no_stop"`           // US Navy table at the EAD, whole minutes

	// Oxygen exposure of the day up to and with this dive.
	CNS   Amount `json:"cns"`     // percent of the NOAA single-exposure limits
	CNS24 Amount `json:"cns_24h"` // percent of the NOAA 24-hour limits
	OTU   Amount `json:"otu"`
}

// weighs tells whether the finding says more than that its rule was looked at.
func (f *Finding) weighs() bool { return f.Severity.Worse(Pass) }

// said tells whether somebody may hear of the finding, or something rests on
// it: all that weighs; the depth, without which there is no status; and that two
// readings agree or the gas is clean, which whoever has just measured that is told.
func (f *Finding) said() bool {
	switch f.Rule {
	case RuleDepth:
		return true
	case RuleRepeat, RuleCarbonMonoxide:
		return f.Severity != NotApplicable
	}
	return f.weighs()
}

// limit lets a finding's limits count in the numbers.
func (n *Numbers) limit(f *Finding) {
	if f.Severity != Limits {
		return
	}
	n.MaxDepth = shallower(n.MaxDepth, f.MaxDepth)
	n.MaxMinutes = shorter(n.MaxMinutes, f.MaxMinutes)
}
