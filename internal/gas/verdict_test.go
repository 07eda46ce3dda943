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
		{"zero value", Verdict{}, NoReading},
		{"no findings", Verdict{Cylinders: 1}, NoReading},
		{"no cylinders", Verdict{Findings: []Finding{depth("c1", Pass)}}, NoReading},
		{"depth passes", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass)}}, Go},
		{"a note is a go", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), other(Note)}}, Go},
		{"not applicable is never counted", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), other(NotApplicable)}}, Go},
		{"limits", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Limits), other(Pass)}}, GoWithLimits},
		{"no reading beats limits", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Limits), other(Missing)}}, NoReading},
		{"no-go beats no reading", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Missing), other(Stop)}}, NoGo},
		{"an unfilled finding is no reading", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), {}}}, NoReading},
		{"one of two cylinders", Verdict{Cylinders: 2, Findings: []Finding{depth("c1", Pass)}}, NoReading},
		{"the same cylinder twice is one", Verdict{Cylinders: 2, Findings: []Finding{depth("c1", Pass), depth("c1", Pass)}}, NoReading},
		{"both cylinders", Verdict{Cylinders: 2, Findings: []Finding{depth("c1", Pass), depth("c2", Pass)}}, Go},
		{"a depth that does not apply", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", NotApplicable)}}, NoReading},
		{"a severity nobody defined", Verdict{Cylinders: 1, Findings: []Finding{depth("c1", Pass), other(99)}}, NoGo},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.v.Status(); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func TestReasonsComeGravestFirst(t *testing.T) {
	v := Verdict{Findings: []Finding{
		{Rule: "a", Severity: Note}, {Rule: "b", Severity: Pass}, {Rule: "c", Severity: Stop},
		{Rule: "d", Severity: Missing}, {Rule: "e", Severity: Limits}, {Rule: "f", Severity: Stop}, {Rule: "g", Severity: NotApplicable},
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
	second.Key, second.Readings, second.Dive.Number = "c2", nil, 2
	d.Cylinders = append(d.Cylinders, second)
	v := Assess(p, d, start)
	for key, want := range map[string]Status{"c1": Go, "c2": NoReading, "c3": NoReading} {
		dive := map[string]int{"c1": 1, "c2": 2}[key]
		if got := v.StatusOf(key, dive); got != want {
			t.Errorf("%s: got %v, want %v", key, got, want)
		}
	}
	if v.Status() != NoReading {
		t.Errorf("whole: got %v, want no reading", v.Status())
	}
}

func TestAVerdictSurvivesJSON(t *testing.T) {
	p, d := plain()
	d.Cylinders[0].Dive.Bottom = M(45)
	v := Assess(p, d, start)
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
		rs   []Reading
		want Percent
	}{
		{"32.1", []Reading{read(32.1)}, 32},
		{"31.9", []Reading{read(31.9)}, 31},
		{"the leaner of two", []Reading{read(32.3), read(31.9)}, 31},
		{"no decimals", []Reading{{Percent: 32, By: ByDiver, Shown: ShownNoDecimal}}, 31},
	} {
		p, d := plain()
		d.Cylinders[0].Readings = c.rs
		if got := Assess(p, d, start).Numbers[0].Computer; got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}
