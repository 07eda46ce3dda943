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
// out a second time: passes and what does not apply, but for the depth, the
// team, and what is told to whoever has just measured.
func looked(f gas.Finding) bool {
	switch f.Severity {
	case gas.Pass:
		return !slices.Contains([]gas.Rule{gas.RuleDepth, gas.RuleTeam, gas.RuleRepeat, gas.RuleCarbonMonoxide}, f.Rule)
	case gas.NotApplicable:
		return f.Rule != gas.RuleDepth && f.Rule != gas.RuleTeam
	}
	return false
}

func TestBrieflyIsTheWholeWithoutWhatWasOnlyLookedAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := gastest.Policy(t)
		var whole, brief []*gas.Verdict
		for range rapid.IntRange(1, 4).Draw(t, "divers") {
			d := gastest.Diver(t)
			w, b := gas.Assess(p, d, gastest.Start), gas.AssessBriefly(p, d, gastest.Start)
			whole, brief = append(whole, &w), append(brief, &b)
		}
		compare := func(when string) {
			for i, w := range whole {
				want := gas.Verdict{Cylinders: w.Cylinders, Numbers: w.Numbers, Findings: slices.DeleteFunc(slices.Clone(w.Findings), looked)}
				if diff := cmp.Diff(text(want), text(*brief[i])); diff != "" {
					t.Fatalf("%s (-whole +brief):\n%s", when, diff)
				}
				sameAnswers(t, *w, *brief[i])
			}
		}
		compare("alone")
		for dive := 1; dive <= 3; dive++ {
			if diff := cmp.Diff(gas.ApplyTeam(dive, whole), gas.ApplyTeam(dive, brief)); diff != "" {
				t.Fatalf("team on dive %d (-whole +brief):\n%s", dive, diff)
			}
		}
		if diff := cmp.Diff(gas.ShareLimits(whole), gas.ShareLimits(brief)); diff != "" {
			t.Fatalf("shared limits (-whole +brief):\n%s", diff)
		}
		compare("together")
	})
}

func sameAnswers(t *rapid.T, whole, brief gas.Verdict) {
	if whole.Status() != brief.Status() || whole.StatusLifted() != brief.StatusLifted() {
		t.Fatalf("status: whole %v, %v; brief %v, %v", whole.Status(), whole.StatusLifted(), brief.Status(), brief.StatusLifted())
	}
	if diff := cmp.Diff(whole.Reasons(), brief.Reasons()); diff != "" {
		t.Fatalf("reasons (-whole +brief):\n%s", diff)
	}
	for _, n := range whole.Numbers {
		if w, b := whole.StatusOf(n.Cylinder, n.Dive), brief.StatusOf(n.Cylinder, n.Dive); w != b {
			t.Fatalf("cylinder %s on dive %d: whole %v, brief %v", n.Cylinder, n.Dive, w, b)
		}
	}
}

// A verdict that was given stays as it is while others are worked out.
func TestAVerdictStaysAsItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, d := gastest.Policy(t), gastest.Diver(t)
		whole, brief := gas.Assess(p, d, gastest.Start), gas.AssessBriefly(p, d, gastest.Start)
		was := [2]string{text(whole), text(brief)}
		for range 3 {
			other := gastest.Diver(t)
			gas.Assess(p, other, gastest.Start)
			gas.AssessBriefly(p, other, gastest.Start)
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
