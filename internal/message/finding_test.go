package message

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/gas/gastest"
)

// gap tells whether a rendered text shows that a key or a value is missing.
func gap(text string) bool {
	return text == "" || strings.ContainsAny(text, "⟦⟧{}") || strings.Contains(text, "<no value>")
}

// TestEveryOutcomeHasItsWords fails when gas can say something that the
// catalogue has no words for.
func TestEveryOutcomeHasItsWords(t *testing.T) {
	r := New()
	all := Args{}
	for _, name := range []string{"measured", "limit", "off", "other", "mix", "ppo2", "depth", "minutes"} {
		all[name] = Code("1")
	}
	all["count"] = Count(2)
	for _, o := range gas.Outcomes() {
		f := gas.Finding{Rule: o.Rule, Case: o.Case, Severity: o.Severity, Do: o.Do}
		text, do := Finding(f)
		if _, leader := FindingForLeader(f); leader.Key != "" && gap(r.Line(Say(leader.Key, all), Reader{})) {
			t.Errorf("%s/%s: no words for %q", o.Rule, o.Case, leader.Key)
		}
		if got := r.Line(Say(text.Key, all), Reader{}); gap(got) {
			t.Errorf("%s/%s: no words: %q", o.Rule, o.Case, got)
		}
		if do.Key == "" {
			if o.Do != "" {
				t.Errorf("%s/%s: %q is nothing to do", o.Rule, o.Case, o.Do)
			}
			continue
		}
		if got := r.Line(Say(do.Key, all), Reader{}); gap(got) {
			t.Errorf("%s/%s: no words for %q: %q", o.Rule, o.Case, o.Do, got)
		}
	}
}

// TestEveryFindingHasTheValuesItsSentenceNeeds renders whatever the check can
// find.
func TestEveryFindingHasTheValuesItsSentenceNeeds(t *testing.T) {
	r, seen := New(), map[string]bool{}
	rapid.Check(t, func(t *rapid.T) {
		v := gas.Assess(gastest.Policy(t), gastest.Diver(t))
		for _, f := range v.Findings {
			text, _ := Finding(f)
			if key := text.Key + f.Do + names(text); !seen[key] {
				seen[key] = true // the same sentence with the same values present is said once
				checkWords(t, r, f)
			}
		}
	})
}

func names(l Line) string {
	var all []string
	for _, v := range l.Values {
		all = append(all, v.Name)
	}
	return strings.Join(all, " ")
}

func checkWords(t *rapid.T, r *Renderer, f gas.Finding) {
	text, do := Finding(f)
	if _, leader := FindingForLeader(f); leader.Key != "" && gap(r.Line(leader, Reader{})) {
		t.Fatalf("%s/%s: %q of %+v", f.Rule, f.Case, r.Line(leader, Reader{}), f)
	}
	to := Reader{Units: rapid.SampledFrom([]string{"", "m", "ft"}).Draw(t, "units")}
	if got := r.Line(text, to); gap(got) {
		t.Fatalf("%s/%s: %q of %+v", f.Rule, f.Case, got, f)
	}
	if do.Key != "" && gap(r.Line(do, to)) {
		t.Fatalf("%s/%s: %q of %+v", f.Rule, f.Case, r.Line(do, to), f)
	}
}

// TestSentences shows how values are rounded: limits to the safe side, planned
// depths deeper, pressures up.
func TestSentences(t *testing.T) {
	check := func(o2 gas.Percent, d gas.Dive) gas.Verdict {
		p := gas.DefaultPolicy(d.Place.Unit)
		return gas.Assess(p, gas.Diver{Card: gas.CardSeen, Dive: d,
			Cylinders: []gas.Cylinder{{Key: "c", Asked: 32, Claims: 1, Evidence: gas.Read(o2)}}})
	}
	for _, c := range []struct {
		name     string
		v        gas.Verdict
		rule     gas.Rule
		to       Reader
		text, do string
	}{
		{"too deep in feet", check(36, gas.Dive{Depth: gas.Ft(110), Place: gas.Place{Unit: gas.Feet}}), gas.RuleDepth,
			Reader{},
			"Too rich for the plan: MOD 95 ft, ppO2 1.56.",
			"Don't dive it here. Another cylinder, a shallower dive, or a fill of 32 % or less."},
		{"too deep, read in the other unit", check(36, gas.Dive{Depth: gas.M(33.5)}), gas.RuleDepth, Reader{Units: "ft"},
			"Too rich for the plan: MOD 91 ft, ppO2 1.57.",
			"Don't dive it here. Another cylinder, a shallower dive, or a fill of 32 % or less."},
		{"exactly at the limit", check(28, gas.Dive{Depth: gas.M(40)}), gas.RuleDepth, Reader{},
			"Within the MOD; ppO2 1.40.", ""},
		{"the label's depth", check(32, gas.Dive{Depth: gas.M(33.5)}), gas.RuleDepth, Reader{},
			"The plan lies a little below the MOD on the label.", "Keep to 33 m."},
		{"a fill that is off", check(33.4, gas.Dive{Depth: gas.M(30)}), gas.RuleAsked, Reader{},
			"1.4 points richer than the 32 % asked for.", "Calibrate, analyse again, use the measured value."},
		{"a fill that is lean", check(30.6, gas.Dive{Depth: gas.M(30)}), gas.RuleAsked, Reader{},
			"1.4 points leaner than the 32 % asked for.", "Calibrate, analyse again, use the measured value."},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, f := range c.v.Findings {
				if f.Rule != c.rule {
					continue
				}
				text, do := Finding(f)
				r := New()
				if got := r.Line(text, c.to); got != c.text {
					t.Errorf("got  %q\nwant %q", got, c.text)
				}
				if got := r.Line(do, c.to); got != c.do {
					t.Errorf("got  %q\nwant %q", got, c.do)
				}
			}
		})
	}
}
