package gas

// Verdict is the result of one diver on one dive. Its zero value is not cleared.
type Verdict struct {
	Findings  []Finding `json:"findings"`
	Numbers   []Numbers `json:"numbers"`
	Cylinders int       `json:"cylinders"` // how many were looked at

	// Max is the diver's max, see Max; zero when nothing is known that limits.
	Max Depth `json:"max,omitzero"`
	// MaxMinutes is the shorter of the no-stop time and a leader's minutes, whole;
	// 0 is no limit or none known.
	MaxMinutes float64 `json:"max_minutes,omitzero"`
}

// Status is the worst of all findings: pass and note mean Go. Without a depth
// finding for every cylinder, or without cylinders, it is no better than
// NotCleared.
func (v *Verdict) Status() Status {
	worst := Pass
	if !v.complete() {
		worst = Missing
	}
	for i := range v.Findings {
		if s := v.Findings[i].Severity; s.Worse(worst) {
			worst = s
		}
	}
	return worst.Status()
}

// complete tells whether every cylinder has an evaluated depth finding.
func (v *Verdict) complete() bool {
	evaluated := 0
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.evaluatesDepth() && !v.again(i) {
			evaluated++
		}
	}
	return v.Cylinders > 0 && evaluated >= v.Cylinders
}

// evaluatesDepth tells whether the finding is of a depth that was checked.
func (f *Finding) evaluatesDepth() bool {
	return f.Rule == RuleDepth && f.Severity != NotApplicable && f.Severity != Missing
}

// again tells whether finding i repeats an earlier one of its rule and cylinder.
func (v *Verdict) again(i int) bool {
	f := &v.Findings[i]
	for j := range i {
		if g := &v.Findings[j]; g.Rule == f.Rule && g.Cylinder == f.Cylinder {
			return true
		}
	}
	return false
}

// SeverityOf is the worst finding of a rule, NotApplicable when it has none.
func (v *Verdict) SeverityOf(r Rule) Severity {
	worst := NotApplicable
	for i := range v.Findings {
		if f := &v.Findings[i]; f.Rule == r && f.Severity.Worse(worst) {
			worst = f.Severity
		}
	}
	return worst
}

// Reasons are the findings that somebody should hear, gravest first and then
// in the order of the rules: everything but pass and not-applicable. The first
// one decides the verdict and holds the one thing to do, so that "no reading"
// comes after whatever says why there is none.
func (v *Verdict) Reasons() []Finding {
	n := 0
	for i := range v.Findings {
		if v.Findings[i].weighs() {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	reasons := make([]Finding, 0, n)
	for w := Stop; len(reasons) < n; w-- {
		reasons = v.appendReasons(reasons, w, false)
		reasons = v.appendReasons(reasons, w, true)
	}
	return reasons
}

// appendReasons appends the findings of one weight, those of rule "no-reading"
// or all others.
func (v *Verdict) appendReasons(reasons []Finding, weight Severity, noReading bool) []Finding {
	for i := range v.Findings {
		if f := &v.Findings[i]; f.weighs() && f.Severity.weight() == weight && (f.Rule == RuleNoReading) == noReading {
			reasons = append(reasons, *f)
		}
	}
	return reasons
}

// StatusOf is the status of one cylinder, judged like the whole. What is found
// of the diver counts for each of their cylinders.
func (v *Verdict) StatusOf(cylinder string) Status {
	worst, evaluated := Pass, false
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Cylinder != cylinder && f.Cylinder != "" {
			continue
		}
		evaluated = evaluated || f.evaluatesDepth()
		if f.Severity.Worse(worst) {
			worst = f.Severity
		}
	}
	if !evaluated && Missing.Worse(worst) {
		worst = Missing
	}
	return worst.Status()
}

// NumbersOf are the numbers of one cylinder, nil when there are none.
func (v *Verdict) NumbersOf(cylinder string) *Numbers {
	for i := range v.Numbers {
		if v.Numbers[i].Cylinder == cylinder {
			return &v.Numbers[i]
		}
	}
	return nil
}
