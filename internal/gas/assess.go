package gas

import "sync"

// Assess checks one diver on one dive: every rule over every cylinder, and the
// rules over the diver. It never fails; what can't be judged is a finding that
// says so.
func Assess(p Policy, d Diver) Verdict {
	c := begin(&p, &d)
	defer c.end()
	return c.verdict(make([]Finding, 0, len(d.Cylinders)*len(rules)+len(diverRules)))
}

// AssessBriefly is Assess without the findings that say only that a rule was
// looked at (see Finding.said), which are most of them: for whoever keeps many
// verdicts. Whatever is asked of the verdict (Status, Reasons and the like) is
// the same.
func AssessBriefly(p Policy, d Diver) Verdict {
	c := begin(&p, &d)
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
	findings []Finding
	max      Depth
	load     load
	minutes  float64
	inUse    int
	brief    bool
}

var checks = sync.Pool{New: func() any { return new(check) }}

// begin looks at everything that each cylinder alone tells, then at what the
// diver's max is.
func begin(p *Policy, d *Diver) *check {
	c := checks.Get().(*check)
	c.policy, c.diver, c.brief = *p, *d, false
	c.diver.Set, c.diver.Team = d.Set.usable(), d.Team.usable()
	c.load = before(d.Before, &d.Dive, p.OxygenCredit)
	c.subjects, c.inUse = c.subjects[:0], 0
	for i := range c.diver.Cylinders {
		cyl := &c.diver.Cylinders[i]
		c.subjects = append(c.subjects, subject{policy: &c.policy, diver: &c.diver, cyl: cyl, day: &c.load})
		if !cyl.LeftBehind {
			c.inUse++
		}
	}
	for i := range c.subjects {
		c.subjects[i].all = c.subjects
		c.subjects[i].look()
		c.subjects[i].time()
	}
	c.limits()
	return c
}

// limits works out the diver's max and minutes over all cylinders.
func (c *check) limits() {
	d, unit := &c.diver, c.diver.Dive.Place.Unit
	mod, minutes := Depth{}, shorter(d.Set.Minutes, d.Team.Minutes)
	for i := range c.subjects {
		s := &c.subjects[i]
		mod = shallower(mod, s.mod)
		if !d.OwnComputer {
			whole, _ := s.noStop.whole()
			minutes = shorter(minutes, whole)
		}
	}
	c.max, c.minutes = Max(unit, mod, d.DepthLimit, c.policy.Deepest, d.Set.Depth, d.Team.Depth), minutes
	for i := range c.subjects {
		c.subjects[i].max = c.max
	}
}

// end lets go of what was checked.
func (c *check) end() {
	clear(c.subjects)
	clear(c.findings)
	c.diver = Diver{}
	checks.Put(c)
}

// verdict puts what the rules say behind the findings given.
func (c *check) verdict(findings []Finding) Verdict {
	v := Verdict{Cylinders: len(c.subjects), Findings: findings, Max: c.max, MaxMinutes: c.minutes,
		Numbers: make([]Numbers, 0, len(c.subjects))}
	for i := range c.subjects {
		s := &c.subjects[i]
		n := s.numbers()
		for k := range rules {
			f := rules[k].check(s)
			f.Cylinder = s.cyl.Key
			n.limit(&f)
			v.Findings = c.add(v.Findings, f)
		}
		v.Numbers = append(v.Numbers, n)
	}
	v.Findings = c.earlierOxygen(v.Findings)
	for k := range diverRules {
		v.Findings = c.add(v.Findings, diverRules[k].check(c))
	}
	return v
}

func (c *check) add(findings []Finding, f Finding) []Finding {
	if c.brief && !f.said() {
		return findings
	}
	f.Dive = c.diver.Dive.Number
	return append(findings, f)
}
