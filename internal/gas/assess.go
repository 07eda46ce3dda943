package gas

import (
	"sync"
	"time"
)

// Assess checks one diver: every rule over every cylinder. It never fails; what
// can't be judged is a finding that says so.
func Assess(p Policy, d Diver, now time.Time) Verdict {
	c := begin(p, d, now)
	defer c.end()
	return c.verdict(make([]Finding, 0, len(d.Cylinders)*len(rules)))
}

// AssessBriefly is Assess without the findings that say only that a rule was
// looked at (see Finding.said), which are most of them: for whoever keeps many
// verdicts. Whatever is asked of the verdict (Status, Reasons, ApplyTeam,
// ShareLimits and the like) is the same.
func AssessBriefly(p Policy, d Diver, now time.Time) Verdict {
	c := begin(p, d, now)
	defer c.end()
	c.brief = true
	v := c.verdict(c.findings[:0])
	c.findings = v.Findings
	v.Findings = append(make([]Finding, 0, len(c.findings)), c.findings...)
	return v
}

// check is one check in progress. Rules look at it through pointers, so that
// all of it would be garbage after each; a pool keeps the room.
type check struct {
	policy   Policy
	diver    Diver
	subjects []subject
	past     []subject
	day      []leg
	findings []Finding
	brief    bool
}

var checks = sync.Pool{New: func() any { return new(check) }}

// begin looks at everything that each cylinder alone tells.
func begin(p Policy, d Diver, now time.Time) *check {
	c := checks.Get().(*check)
	c.policy, c.diver, c.brief = p, d, false
	c.subjects = c.look(c.subjects[:0], d.Cylinders, now)
	c.past = c.look(c.past[:0], d.Past, now)
	c.day = dayOf(c.day[:0], c.past, c.subjects)
	return c
}

// end lets go of what was checked.
func (c *check) end() {
	clear(c.subjects)
	clear(c.past)
	clear(c.findings)
	c.diver = Diver{}
	checks.Put(c)
}

func (c *check) look(subjects []subject, cylinders []Cylinder, now time.Time) []subject {
	for i := range cylinders {
		subjects = append(subjects, subject{policy: &c.policy, diver: &c.diver, cyl: &cylinders[i], now: now})
		subjects[i].look()
	}
	return subjects
}

// verdict puts what the rules say of each cylinder behind the findings given.
func (c *check) verdict(findings []Finding) Verdict {
	v := Verdict{Cylinders: len(c.subjects), Findings: findings, Numbers: make([]Numbers, 0, len(c.subjects))}
	for i := range c.subjects {
		s := &c.subjects[i]
		s.time(c.day)
		n := s.numbers()
		for k := range rules {
			f := rules[k].check(s)
			if c.brief && !f.said() {
				continue
			}
			f.Cylinder, f.Dive = s.cyl.Key, s.cyl.Dive.Number
			n.limit(&f)
			v.Findings = append(v.Findings, f)
		}
		v.Numbers = append(v.Numbers, n)
	}
	return v
}
