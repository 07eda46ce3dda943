package gas

import "time"

// Assess checks one diver: every rule over every cylinder. It never fails; what
// can't be judged is a finding that says so.
func Assess(p Policy, d Diver, now time.Time) Verdict {
	v := Verdict{
		Cylinders: len(d.Cylinders),
		Findings:  make([]Finding, 0, len(d.Cylinders)*len(rules)),
		Numbers:   make([]Numbers, 0, len(d.Cylinders)),
	}
	subjects := make([]subject, len(d.Cylinders))
	for i := range subjects {
		subjects[i] = subject{policy: p, diver: &d, cyl: &d.Cylinders[i], now: now}
		subjects[i].look()
	}
	day := dayOf(p, &d, subjects)
	for i := range subjects {
		subjects[i].time(day)
		v.add(&subjects[i])
	}
	return v
}

// add lets every rule look at one cylinder.
func (v *Verdict) add(s *subject) {
	n := s.numbers()
	for _, r := range rules {
		v.Findings = append(v.Findings, r.check(s))
		f := &v.Findings[len(v.Findings)-1]
		f.Cylinder, f.Dive = s.cyl.Key, s.cyl.Dive.Number
		n.limit(f)
	}
	v.Numbers = append(v.Numbers, n)
}
