package gas_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/gas/gastest"
)

// looked tells whether a finding says only that its rule was looked at, written
// out a second time: passes and what does not apply, but for the depth, and what
// is told to whoever has just measured.
func looked(f gas.Finding) bool {
	switch f.Severity {
	case gas.Pass:
		return !slices.Contains([]gas.Rule{gas.RuleDepth, gas.RuleRepeat, gas.RuleCarbonMonoxide}, f.Rule)
	case gas.NotApplicable:
		return f.Rule != gas.RuleDepth
	}
	return false
}

func TestBrieflyIsTheWholeWithoutWhatWasOnlyLookedAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, d := gastest.Policy(t), gastest.Diver(t)
		whole, brief := gas.Assess(p, d), gas.AssessBriefly(p, d)
		want := whole
		want.Findings = slices.DeleteFunc(slices.Clone(whole.Findings), looked)
		if diff := cmp.Diff(text(want), text(brief)); diff != "" {
			t.Fatalf("(-whole +brief):\n%s", diff)
		}
		sameAnswers(t, whole, brief)
	})
}

func sameAnswers(t *rapid.T, whole, brief gas.Verdict) {
	if whole.Status() != brief.Status() {
		t.Fatalf("status: whole %v, brief %v", whole.Status(), brief.Status())
	}
	if diff := cmp.Diff(whole.Reasons(), brief.Reasons()); diff != "" {
		t.Fatalf("reasons (-whole +brief):\n%s", diff)
	}
	for _, n := range whole.Numbers {
		if w, b := whole.StatusOf(n.Cylinder), brief.StatusOf(n.Cylinder); w != b {
			t.Fatalf("cylinder %s: whole %v, brief %v", n.Cylinder, w, b)
		}
	}
}

// A verdict that was given stays as it is while others are worked out.
func TestAVerdictStaysAsItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, d := gastest.Policy(t), gastest.Diver(t)
		whole, brief := gas.Assess(p, d), gas.AssessBriefly(p, d)
		was := [2]string{text(whole), text(brief)}
		for range 3 {
			other := gastest.Diver(t)
			gas.Assess(p, other)
			gas.AssessBriefly(p, other)
		}
		if now := [2]string{text(whole), text(brief)}; now != was {
			t.Fatalf("changed:\n%s", cmp.Diff(was, now))
		}
	})
}

func text(v gas.Verdict) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // a verdict holds nothing that JSON has no word for
	}
	return string(b)
}
