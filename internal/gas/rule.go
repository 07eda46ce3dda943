package gas

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
	RuleDeepest        Rule = "deepest"
	RuleQuestion       Rule = "question"
	RuleSetLimit       Rule = "leaders-limit"
	RuleDivedBefore    Rule = "dived-before"
	RuleNoCylinder     Rule = "no-cylinder"
	RuleLeft           Rule = "left"
	RuleSpeak          Rule = "speak"
)
