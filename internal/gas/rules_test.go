package gas

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var (
	start = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)
)

// example is one outcome of one rule: a diver with one cylinder, changed from
// plain in what matters, and the whole finding that it comes to.
type example struct {
	name string
	set  func(p *Policy, d *Diver, c *Cylinder)
	want Outcome
	more Finding // numbers of the finding
}

// plain is a diver with a card and a cylinder of 32.1 % for 30 m, asked for 32.
func plain() (Policy, Diver) {
	return DefaultPolicy(Metres), Diver{Card: CardSeen, Dive: Dive{Number: 1, Depth: M(30), Start: start},
		Cylinders: []Cylinder{{Key: "c1", Asked: 32, Claims: 1, Evidence: Read(32.1)}}}
}

// readings is the evidence of several readings that count.
func readings(all ...Percent) Evidence {
	e := Read(all[0])
	for _, p := range all[1:] {
		more := Read(p)
		e.Counting, e.Compared = append(e.Counting, more.Counting...), append(e.Compared, more.Compared...)
		e.Rich, e.Lean = max(e.Rich, p), min(e.Lean, p)
	}
	e.Dry = e.Lean
	return e
}

// undecided is the evidence of a reading without decimals.
func undecided(p Percent) Evidence {
	e := Read(p)
	e.Rich, e.Lean, e.Dry = p+0.5, p-0.5, p-0.5
	return e
}

// examples are those of all rules; each rule's test file holds its own.
var examples = [][]example{
	noReadingExamples, outOfRangeExamples, depthExamples, bottomExamples, contingencyExamples,
	thinMarginExamples, askedExamples, cardExamples, airIsNotAirExamples, airPointExamples,
	repeatExamples, sameCylinderExamples, measuredExamples, improvedExamples, staleExamples,
	depthLimitExamples, personExamples, noStopExamples, leanExamples, oxygenClockExamples, humidAirExamples,
	carbonMonoxideExamples,
}

// near compares findings with room for arithmetic's last digits only.
var near = cmp.Options{
	cmpopts.EquateApprox(0, 1e-9),
	cmp.Comparer(func(a, b PPO2) bool { return close9(float64(a), float64(b)) }),
	cmp.Comparer(func(a, b Percent) bool { return close9(float64(a), float64(b)) }),
}

func close9(a, b float64) bool { return math.Abs(a-b) <= 1e-9 }

func TestRules(t *testing.T) {
	for _, list := range examples {
		for _, e := range list {
			t.Run(string(e.want.Rule)+"/"+e.name, e.test)
		}
	}
}

func (e example) test(t *testing.T) {
	p, d := plain()
	if e.set != nil {
		e.set(&p, &d, &d.Cylinders[0])
	}
	want := e.more
	want.Rule, want.Case, want.Severity = e.want.Rule, e.want.Case, e.want.Severity
	want.Do, want.Source, want.Dive = e.want.Do, e.want.Source, 1
	if !ofDiver(e.want.Rule) {
		want.Cylinder = "c1"
	}
	got := findingOf(t, Assess(p, d), e.want.Rule)
	if diff := cmp.Diff(want, got, near); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// ofDiver tells whether a rule looks at the diver and not at one cylinder.
func ofDiver(r Rule) bool {
	return slices.ContainsFunc(diverRules, func(d diverRule) bool { return d.outcomes[0].Rule == r })
}

// findingOf is the one finding of a rule.
func findingOf(t *testing.T, v Verdict, r Rule) Finding {
	t.Helper()
	i := slices.IndexFunc(v.Findings, func(f Finding) bool { return f.Rule == r })
	if i < 0 {
		t.Fatalf("no finding of rule %s", r)
	}
	return v.Findings[i]
}

func TestEveryOutcomeHasAnExample(t *testing.T) {
	seen := map[Outcome]bool{}
	for _, list := range examples {
		for _, e := range list {
			seen[e.want] = true
		}
	}
	for _, o := range Outcomes() {
		if !seen[o] {
			t.Errorf("no example of %s/%s", o.Rule, o.Case)
		}
	}
}

func TestRulesAreListedOnceInTheirOrder(t *testing.T) {
	p, d := plain()
	var got []Rule
	for _, f := range Assess(p, d).Findings {
		got = append(got, f.Rule)
	}
	want := []Rule{RuleNoReading, RuleOutOfRange, RuleDepth, RuleBottom, RuleContingency, RuleThinMargin,
		RuleAsked, RuleNoStop, RuleLean, RuleCard, RuleAirIsNotAir, RuleAirPoint, RuleHumidAir, RuleRepeat,
		RuleSameCylinder, RuleMeasured, RuleImproved, RuleStale, RuleCarbonMonoxide, RuleQuestion,
		RuleOxygenClock, RuleNoCylinder, RuleLeft, RuleSpeak, RuleDeepest, RuleDepthLimit, RuleSetLimit, RuleTeam,
		RuleDivedBefore}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestOutcomesAreDistinct(t *testing.T) {
	type key struct {
		Rule Rule
		Case string
	}
	seen := map[key]bool{}
	for _, o := range Outcomes() {
		k := key{o.Rule, o.Case}
		if seen[k] || o.Case == "" {
			t.Errorf("outcome %v is there twice or has no case", k)
		}
		seen[k] = true
		if o.Severity != Pass && o.Severity != NotApplicable && o.Source == "" {
			t.Errorf("outcome %v has no source", k)
		}
	}
}
