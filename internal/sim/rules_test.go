package sim

import (
	"slices"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/sim/judge"
)

// What the product's check looks at and what the judge has a rule for is one set, and all of it is compared.
func TestProductAndJudgeHaveTheSameRules(t *testing.T) {
	judged := map[judge.Rule]bool{}
	for _, v := range open(booked(1), false).see.Dives {
		for _, d := range v.Divers {
			for rule := range d.Rules {
				judged[rule] = true
			}
		}
	}
	checked := map[judge.Rule]bool{}
	for _, o := range gas.Outcomes() {
		checked[judge.Rule(o.Rule)] = true
	}
	for rule := range checked {
		if !judged[rule] {
			t.Errorf("the judge has no rule %s", rule)
		}
	}
	for rule := range judged {
		if !checked[rule] {
			t.Errorf("the check has no rule %s", rule)
		}
		if !slices.Contains(allRules, rule) {
			t.Errorf("rule %s is not compared", rule)
		}
	}
	if len(judged) == 0 {
		t.Error("nobody was judged")
	}
}
