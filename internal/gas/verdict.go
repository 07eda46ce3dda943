package gas

import "math"

// Status is what a verdict comes down to. The zero value is NoReading, so that
// nothing forgotten can look like a go.
type Status uint8

// The four verdicts of the trade's day.
const (
	NoReading Status = iota
	Go
	GoWithLimits
	NoGo
)

var statusNames = [...]string{"no-reading", "go", "limits", "no-go"}

// String is the word of the interface: no-reading, go, limits, no-go.
func (s Status) String() string {
	if int(s) >= len(statusNames) {
		return "unknown"
	}
	return statusNames[s]
}

// MarshalText writes the word of the interface.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word of the interface; an unknown word is NoReading.
func (s *Status) UnmarshalText(b []byte) error {
	*s = NoReading
	for i, n := range statusNames {
		if n == string(b) {
			*s = Status(i)
		}
	}
	return nil
}

// Severity is how much one finding weighs. The zero value weighs as no reading.
type Severity uint8

// In order of weight: NotApplicable (never counted), Pass, Note, Limits,
// Missing (no reading), Stop (no-go). The numbers are not the order.
const (
	Missing Severity = iota
	NotApplicable
	Pass
	Note
	Limits
	Stop
)

var severityNames = [...]string{"no-reading", "not-applicable", "pass", "note", "limits", "no-go"}

// weights orders the severities: a heavier one wins.
var weights = [...]int{Missing: 4, NotApplicable: 0, Pass: 1, Note: 2, Limits: 3, Stop: 5}

func (s Severity) weight() int {
	if int(s) >= len(weights) {
		return weights[Stop] // a value nobody defined is no reason to go
	}
	return weights[s]
}

// status is what a verdict comes to whose worst finding is s.
func (s Severity) status() Status {
	switch s {
	case NotApplicable, Pass, Note:
		return Go
	case Limits:
		return GoWithLimits
	case Missing:
		return NoReading
	default:
		return NoGo
	}
}

// String is the word of the interface.
func (s Severity) String() string {
	if int(s) >= len(severityNames) {
		return "unknown"
	}
	return severityNames[s]
}

// MarshalText writes the word of the interface.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word of the interface; an unknown word is Missing.
func (s *Severity) UnmarshalText(b []byte) error {
	*s = Missing
	for i, n := range severityNames {
		if n == string(b) {
			*s = Severity(i)
		}
	}
	return nil
}

// Rule names one rule of the check.
type Rule string

// The rules, in the order in which their findings are listed.
const (
	RuleNoReading      Rule = "no-reading"
	RuleOutOfRange     Rule = "out-of-range"
	RuleDepth          Rule = "depth"
	RuleBottom         Rule = "bottom"
	RuleContingency    Rule = "contingency"
	RuleThinMargin     Rule = "thin-margin"
	RuleAsked          Rule = "asked"
	RuleNoStop         Rule = "no-stop"
	RuleLean           Rule = "lean"
	RuleCard           Rule = "card"
	RuleAirIsNotAir    Rule = "air-is-not-air"
	RuleAirPoint       Rule = "air-point"
	RuleHumidAir       Rule = "humid-air"
	RuleRepeat         Rule = "repeat"
	RuleSameCylinder   Rule = "same-cylinder"
	RuleMeasured       Rule = "measured"
	RuleImproved       Rule = "improved"
	RuleStale          Rule = "stale"
	RuleCarbonMonoxide Rule = "carbon-monoxide"
	RuleDepthLimit     Rule = "depth-limit"
	RuleOxygenClock    Rule = "oxygen-clock"
	RuleTeam           Rule = "team"
)

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

	Do     string `json:"do"`              // key of the one thing to do; "" when nothing is
	Source string `json:"source"`          // of the limit: a published document, or "common practice"
	Group  bool   `json:"group,omitempty"` // lifted: a limit that the whole group shares
}

// Numbers are the figures of one cylinder on one dive, unrounded unless said.
type Numbers struct {
	Cylinder   string  `json:"cylinder"`
	Dive       int     `json:"dive"`
	Depth      Depth   `json:"depth"` // that was checked: as planned, or as the leader has set it
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
	MaxDepth   Depth   `json:"max_depth,omitzero"`   // shallowest limit of all findings, zero when none
	MaxMinutes float64 `json:"max_minutes,omitzero"` // shortest limit of all findings, zero when none

	// No-stop times at the depth checked, residual nitrogen included.
	NoStop      NoStop `json:"no_stop"`                // for Lean
	NoStopAsked NoStop `json:"no_stop_asked,omitzero"` // for the blend asked for
	Navy        NoStop `json:"navy_no_stop"`           // US Navy table at the EAD, whole minutes

	// Oxygen exposure of the day up to and with this dive.
	CNS   Amount `json:"cns"`     // percent of the NOAA single-exposure limits
	CNS24 Amount `json:"cns_24h"` // percent of the NOAA 24-hour limits
	OTU   Amount `json:"otu"`
}

// Verdict is a diver's whole result.
type Verdict struct {
	Findings  []Finding `json:"findings"`
	Numbers   []Numbers `json:"numbers"`
	Cylinders int       `json:"cylinders"` // how many were looked at
}

// Status is the worst of all findings: pass and note mean Go. Without a depth
// finding for every cylinder, or without cylinders, it is no better than
// NoReading.
func (v Verdict) Status() Status { return v.status(false) }

// StatusLifted is the status without the limits that the whole group shares
// (see ShareLimits): what makes this diver differ from the group.
func (v Verdict) StatusLifted() Status { return v.status(true) }

func (v Verdict) status(lift bool) Status {
	worst := Pass
	if !v.complete() {
		worst = Missing
	}
	for i := range v.Findings {
		f := &v.Findings[i]
		if lift && f.Group && f.Severity == Limits {
			continue
		}
		if f.Severity.weight() > worst.weight() {
			worst = f.Severity
		}
	}
	return worst.status()
}

// complete tells whether every cylinder has an evaluated depth finding.
func (v Verdict) complete() bool {
	evaluated := 0
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.evaluatesDepth() && !v.again(i) {
			evaluated++
		}
	}
	return v.Cylinders > 0 && evaluated >= v.Cylinders
}

// evaluatesDepth tells whether the finding is of a depth that was checked.
func (f *Finding) evaluatesDepth() bool {
	return f.Rule == RuleDepth && f.Severity != NotApplicable && f.Severity != Missing
}

// again tells whether finding i repeats an earlier one of its rule, cylinder and dive.
func (v Verdict) again(i int) bool {
	f := &v.Findings[i]
	for j := range i {
		g := &v.Findings[j]
		if g.Rule == f.Rule && g.Cylinder == f.Cylinder && g.Dive == f.Dive {
			return true
		}
	}
	return false
}

// Reasons are the findings that somebody should hear, gravest first and then
// in the order of the rules: everything but pass and not-applicable. The first
// one decides the verdict and holds the one thing to do, so that "no reading"
// comes after whatever says why there is none.
func (v Verdict) Reasons() []Finding {
	n := 0
	for i := range v.Findings {
		if v.Findings[i].weighs() {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	reasons := make([]Finding, 0, n)
	for w := Stop.weight(); len(reasons) < n; w-- {
		reasons = v.appendReasons(reasons, w, false)
		reasons = v.appendReasons(reasons, w, true)
	}
	return reasons
}

// appendReasons appends the findings of one weight, those of rule "no-reading"
// or all others.
func (v Verdict) appendReasons(reasons []Finding, weight int, noReading bool) []Finding {
	for i := range v.Findings {
		if f := &v.Findings[i]; f.weighs() && f.Severity.weight() == weight && (f.Rule == RuleNoReading) == noReading {
			reasons = append(reasons, *f)
		}
	}
	return reasons
}

// weighs tells whether the finding says more than that its rule was looked at.
func (f *Finding) weighs() bool { return f.Severity != Pass && f.Severity != NotApplicable }

// said tells whether somebody may hear of the finding, or something rests on
// it: all that weighs; the depth, without which there is no status; the team,
// which ApplyTeam writes; and that two readings agree or the gas is clean, which
// whoever has just measured that is told.
func (f *Finding) said() bool {
	switch f.Rule {
	case RuleDepth, RuleTeam:
		return true
	case RuleRepeat, RuleCarbonMonoxide:
		return f.Severity != NotApplicable
	}
	return f.weighs()
}

// StatusOf is the status of one cylinder on its dive, judged like the whole.
func (v Verdict) StatusOf(cylinder string, dive int) Status {
	worst, evaluated := Pass, false
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Cylinder != cylinder || f.Dive != dive {
			continue
		}
		evaluated = evaluated || f.evaluatesDepth()
		if f.Severity.weight() > worst.weight() {
			worst = f.Severity
		}
	}
	if !evaluated && worst.weight() < Missing.weight() {
		worst = Missing
	}
	return worst.status()
}

// stopped tells whether some finding of a dive is no-go.
func (v *Verdict) stopped(dive int) bool {
	for i := range v.Findings {
		if f := &v.Findings[i]; f.Dive == dive && f.Severity == Stop {
			return true
		}
	}
	return false
}

// numbersOf are the numbers of one cylinder on one dive, nil when there are none.
func (v *Verdict) numbersOf(cylinder string, dive int) *Numbers {
	for i := range v.Numbers {
		if v.Numbers[i].Cylinder == cylinder && v.Numbers[i].Dive == dive {
			return &v.Numbers[i]
		}
	}
	return nil
}

// limit lets a finding's limits count in the numbers.
func (n *Numbers) limit(f *Finding) {
	if f.Severity != Limits {
		return
	}
	n.MaxDepth = shallower(n.MaxDepth, f.MaxDepth)
	n.MaxMinutes = shorter(n.MaxMinutes, f.MaxMinutes)
}
