package judge

import "gasmuster/internal/roster"

// Severity is how much a finding weighs: pass < note < limits < not-cleared < no-go.
type Severity uint8

// The severities. The zero value was never set by a rule and weighs as no-go.
const (
	Undefined Severity = iota
	NotApplicable
	Pass
	Note
	Limits
	NotCleared
	NoGo
)

// worse is the worse of two severities; undefined weighs as no-go.
func worse(a, b Severity) Severity { return max(a.weight(), b.weight()) }

func (s Severity) weight() Severity {
	if s == Undefined || s > NoGo {
		return NoGo
	}
	return s
}

// String is the word of the interface.
func (s Severity) String() string {
	return [...]string{"no-go", "not-applicable", "pass", "note", "limits", "not-cleared", "no-go"}[min(s, NoGo)]
}

// Rule is the name of a rule.
type Rule string

// The rules of the table, then what stands in the clearance's own table.
const (
	RuleNoReading      Rule = "no-reading"
	RuleOutOfRange     Rule = "out-of-range"
	RuleDepth          Rule = "depth"
	RuleDeepest        Rule = "deepest"
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
	RuleImproved       Rule = "improved"
	RuleMeasured       Rule = "measured"
	RuleStale          Rule = "stale"
	RuleSameCylinder   Rule = "same-cylinder"
	RuleTeam           Rule = "team"
	RuleCarbonMonoxide Rule = "carbon-monoxide"
	RuleDepthLimit     Rule = "depth-limit"
	RuleOxygenClock    Rule = "oxygen-clock"

	RuleNoCylinder Rule = "no-cylinder"   // NO CYLINDER
	RuleLeft       Rule = "left"          // LEFT
	RuleSpeak      Rule = "speak"         // helium or a closed circuit was named
	RuleQuestion   Rule = "question"      // a number is being asked about
	RuleOwnLimit   Rule = "leaders-limit" // a leader's limit for this diver
	RuleOwnTables  Rule = "dived-before"  // dived in the last 24 hours
)

// Status is the status of a clearance or a dive. The zero value is not cleared.
type Status uint8

// The statuses.
const (
	StatusNotCleared Status = iota
	StatusGo
	StatusLimits
	StatusNoGo
	StatusOutside
	StatusOut
)

// String is the word of the interface.
func (s Status) String() string {
	if s > StatusOut {
		return "not-cleared"
	}
	return [...]string{"not-cleared", "go", "limits", "no-go", "outside", "out"}[s]
}

// Need is what somebody still owes, a word of the board.
type Need string

// The needs.
const (
	NeedReading    Need = "reading"
	NeedCard       Need = "card"
	NeedBoatAnswer Need = "boat-answer"
	NeedWitness    Need = "witness"
	NeedCylinder   Need = "cylinder"
	NeedAirPoint   Need = "air-point"
	NeedAnswer     Need = "answer"
	NeedSpeak      Need = "speak"
	NeedLeft       Need = "left"
)

// Verdicts are everything that the judge tells of one moment.
type Verdicts struct {
	Dives      []DiveVerdict
	Signatures []SignatureVerdict
}

// DiveVerdict is the board of one dive.
type DiveVerdict struct {
	Dive    int
	Status  Status
	Dived   bool // then all of it is as it was when it was dived
	Counts  Counts
	Divers  []DiverVerdict
	Group   Group
	Teams   []TeamVerdict // by name
	Refused []Refusal     // why a leader's sign-off would be refused; empty when it would not
}

// Counts are the numbers of a board.
type Counts struct{ Go, Limits, NoGo, NotCleared, Outside, Out int }

// Group is the tightest of several clearances; zero values are "nothing to say".
type Group struct {
	MaxDepth   int
	DepthBy    roster.PersonID
	MaxMinutes int
	TimeBy     roster.PersonID
}

// TeamVerdict is the group of one team.
type TeamVerdict struct {
	Team  string
	Group Group
}

// Refusal is one reason why a dive can't be signed, with who is concerned.
type Refusal struct {
	Why Why
	Who []roster.PersonID
}

// Why is why a sign-off is refused.
type Why string

// The reasons.
const (
	WhyNoGo       Why = "no-go"
	WhyNotCleared Why = "not-cleared"
	WhyNobody     Why = "nobody-dives"
	WhyBoatCheck  Why = "boat-check-not-opened"
	WhyStartMoved Why = "boat-check-before-start-moved"
	WhyDived      Why = "already-dived"
	WhyLaterDived Why = "later-dive-dived"
	WhyNotALeader Why = "not-a-leader"
)

// DiverVerdict is one clearance: one diver on one dive.
type DiverVerdict struct {
	Person     roster.PersonID
	Status     Status
	Needs      []Need            // in the order of the constants
	MaxDepth   int               // whole trip units; 0 unless go or limits
	Ceiling    int               // the same of whatever is known, whatever the status
	MaxMinutes int               // the shorter of no-stop time and a leader's minutes; 0 is no limit or none known
	NoStop     int               // whole minutes; -1 unlimited, 0 none or not known
	Rules      map[Rule]Severity // every rule; those never run are not-applicable
	Cylinders  []CylinderVerdict
	Before     []EarlierDive
}

// EarlierDive is what a dive before this one brings to it, for one diver.
type EarlierDive struct {
	Dive           int
	Breathes       bool // else its time is spent at the surface
	Rich, Lean     float64
	Depth, Minutes float64
}

// CylinderVerdict tells what is known of one cylinder for one dive.
type CylinderVerdict struct {
	Cylinder  roster.CylinderID
	Left      bool // taken from the dive without a leader's word
	Counting  []roster.ReadingID
	Compared  []roster.ReadingID
	Unsettled bool
	Rich      float64 // for depth, of all compared; 0 when nothing was read
	Lean      float64 // for time
}

// SignatureState is where a signature stands.
type SignatureState string

// The states of a signature.
const (
	Standing  SignatureState = "standing"
	Broken    SignatureState = "broken"
	Lapsed    SignatureState = "lapsed"
	Withdrawn SignatureState = "withdrawn"
)

// SignatureVerdict is the standing of one signature.
type SignatureVerdict struct {
	ID      string
	Dive    int
	By      roster.PersonID
	State   SignatureState
	Differs string // the first fact that differed, when broken
}
