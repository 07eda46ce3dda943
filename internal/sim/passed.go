package sim

import "gasmuster/internal/sim/judge"

// remarks are rules whose notes stand beside a verdict; which of them makes one is no matter of safety where the
// table names none.
var remarks = map[judge.Rule]bool{judge.RuleLean: true, judge.RuleMeasured: true, judge.RuleHumidAir: true,
	judge.RuleImproved: true}

// passed are differences of one rule that say nothing of who may dive: the status, which is compared too, is the
// same for another reason.
func (c *comparison) passed(rule judge.Rule, got, want string, v *judge.DiverVerdict) bool {
	unread := v.Rules[judge.RuleNoReading] == judge.NotCleared
	switch {
	case remarks[rule] && !weighs(got) && !weighs(want):
		return true
	case rule == judge.RuleNoReading, rule == judge.RuleMeasured:
		return c.leftBehind(v)
	case rule == judge.RuleStale: // the product says by no-reading what an open boat question leaves
		return c.leftBehind(v) || unread || got == "not-applicable"
	case rule == judge.RuleAirPoint: // why nothing counts, where several things say so
		return unread
	case rule == judge.RuleImproved: // not cleared or no-go: it stops either way
		return weighs(got) && weighs(want)
	case rule == judge.RuleThinMargin: // of a dive that is too deep anyway
		return v.Rules[judge.RuleDepth] == judge.NoGo
	case rule == judge.RuleBottom:
		return len(v.Cylinders) == 0
	}
	return false
}

func weighs(severity string) bool { return grave(severity) && severity != "note" }
