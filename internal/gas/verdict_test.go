package gas

import (
	"encoding/json"
	"testing"
)

func TestStatus(t *testing.T) {
	depth := func(key string, s Severity) Finding {
		return Finding{Rule: RuleDepth, Cylinder: key, Dive: 1, Severity: s}
	}
	other := func(s Severity) Finding { return Finding{Rule: RuleAsked, Cylinder: "c1", Dive: 1, Severity: s} }
	for _, c := range []struct {
		name string
		v    Verdict
		want Status
	}{
		{"zero value", Verdict{}, NotCleared},
		{"no findings", Verdict{Cylinders: 1}, NotCleared},
		{"no cylinders", Verdict{Findings: []Finding{depth("c1", Pass)}}, NotCleared},
		{"depth passes", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass)}}, Go},
		{"a note is a go", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), other(Note)}}, Go},
		{"not applicable is never counted", Verdict{Cylinders: 1,
			Findings: []Finding{depth("c1", Pass), other(NotApplicable)}}, Go},
		{"limits", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Limits), other(Pass)}}, GoWithLimits},
		{"no reading beats limits", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Limits), other(Missing)}},
			NotCleared},
		{"no-go beats no reading", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Missing), other(Stop)}}, NoGo},
		{"an unfilled finding is a no-go", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), {}}}, NoGo},
		{"one of two cylinders", Verdict{Cylinders: 2, Findings: []Finding{depth("c1", Pass)}}, NotCleared},
		{"the same cylinder twice is one", Verdict{Cylinders: 2, Findings: []Finding{depth("c1", Pass), depth("c1", Pass)}},
			NotCleared},
		{"both cylinders", Verdict{Cylinders: 2, Findings: []Finding{depth("c1", Pass), depth("c2", Pass)}}, Go},
		{"a depth that does not apply", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", NotApplicable)}}, NotCleared},
		{"a severity nobody defined", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), other(99)}}, NoGo},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.v.Status(); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func TestWorse(t *testing.T) {
	const undefined = Status(99)
	for _, c := range []struct {
		name       string
		a, b, want Status
	}{
		{"go", Go, Go, Go},
		{"limits", Go, GoWithLimits, GoWithLimits},
		{"no reading is worse than limits", GoWithLimits, NotCleared, NotCleared},
		{"no-go is worse than no reading", NotCleared, NoGo, NoGo},
		{"no-go", Go, NoGo, NoGo},
		{"the zero value is not cleared", Go, Status(0), NotCleared},
		{"undefined is not cleared", Go, undefined, undefined},
		{"undefined is worse than limits", GoWithLimits, undefined, undefined},
		{"no-go is worse than undefined", undefined, NoGo, NoGo},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, turned := Worse(c.a, c.b), Worse(c.b, c.a); got != c.want || turned != c.want {
				t.Errorf("got %v, and %v the other way round, want %v", got, turned, c.want)
			}
		})
	}
	for _, s := range []Status{undefined, Worse(NotCleared, undefined), Worse(undefined, NotCleared)} {
		if Worse(s, GoWithLimits) != s || Worse(s, NoGo) != NoGo {
			t.Errorf("%d: does not weigh as no reading", s)
		}
	}
}

// A severity nobody defined weighs as no-go, wherever weights are looked up.
func TestAnUndefinedSeverityIsNoGo(t *testing.T) {
	const undefined = Severity(99)
	v := Verdict{Cylinders: 1, Findings: []Finding{{Rule: RuleDepth, Cylinder: "c1", Dive: 1, Severity: Pass},
		{Rule: RuleAsked, Cylinder: "c1", Dive: 1, Severity: undefined},
		{Rule: RuleCard, Cylinder: "c1", Dive: 1, Severity: Missing}}}
	if got := v.Status(); got != NoGo {
		t.Errorf("of the whole: got %v", got)
	}
	if got := v.StatusOf("c1"); got != NoGo {
		t.Errorf("of the cylinder: got %v", got)
	}
	if got := v.Reasons(); len(got) != 2 || got[0].Severity != undefined {
		t.Errorf("reasons: got %+v, want it first", got)
	}
}

func TestReasonsComeGravestFirst(t *testing.T) {
	v := Verdict{Findings: []Finding{
		{Rule: "a", Severity: Note}, {Rule: "b", Severity: Pass}, {Rule: "c", Severity: Stop},
		{Rule: "d", Severity: Missing}, {Rule: "e", Severity: Limits}, {Rule: "f", Severity: Stop},
		{Rule: "g", Severity: NotApplicable},
	}}
	got := ""
	for _, f := range v.Reasons() {
		got += string(f.Rule)
	}
	if want := "cfdea"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestStatusOfOneCylinder(t *testing.T) {
	p, d := plain()
	second := d.Cylinders[0]
	second.Key, second.Evidence = "c2", Evidence{}
	d.Cylinders = append(d.Cylinders, second)
	v := Assess(p, d)
	for key, want := range map[string]Status{"c1": Go, "c2": NotCleared, "c3": NotCleared} {
		if got := v.StatusOf(key); got != want {
			t.Errorf("%s: got %v, want %v", key, got, want)
		}
	}
	if v.Status() != NotCleared {
		t.Errorf("whole: got %v, want no reading", v.Status())
	}
}

func TestAVerdictSurvivesJSON(t *testing.T) {
	p, d := plain()
	d.Dive.Bottom = M(45)
	v := Assess(p, d)
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var back Verdict
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if back.Status() != v.Status() || back.Numbers[0] != v.Numbers[0] || len(back.Findings) != len(v.Findings) {
		t.Errorf("got %+v, want %+v", back, v)
	}
}

// TestTheComputerIsSetToOneNumber: the leaner reading rounded down.
func TestTheComputerIsSetToOneNumber(t *testing.T) {
	for _, c := range []struct {
		name string
		rs   Evidence
		want Percent
	}{
		{"32.1", Read(32.1), 32},
		{"31.9", Read(31.9), 31},
		{"the leaner of two", readings(32.3, 31.9), 31},
		{"no decimals", undecided(32), 31},
	} {
		p, d := plain()
		d.Cylinders[0].Evidence = c.rs
		if got := Assess(p, d).Numbers[0].Computer; got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}
