package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// clearance works out what a person is cleared for on dive n.
func (l *look) clearance(p *Person, n int) Clearance {
	c := Clearance{Person: p.ID, Dive: n, Left: !p.Left.IsZero(), Out: p.OutOf(n), Outside: p.OutsideOf(n)}
	if c.Out == nil && c.Outside == nil {
		c.judge(l.assess(p, n), p.gone)
	}
	return c
}

// ruled is what the rules say of a person on dive n, also while they sit it out or
// are outside this check.
func (l *look) ruled(p *Person, n int) gas.Status {
	v := l.verdict(p, n)
	return v.Status()
}

// verdict is the check of a person on dive n, whether they are on its board or not.
func (l *look) verdict(p *Person, n int) gas.Verdict {
	if i := slices.Index(l.People, p); i >= 0 && p.Dives() {
		if c := &l.line(i, n).clearance; c.Active {
			return c.Verdict
		}
	}
	return l.assess(p, n)
}

// assess is the check of a person on dive n.
func (l *look) assess(p *Person, n int) gas.Verdict {
	d := l.diver(p, n)
	d.Before = l.legs(p, n)
	for _, c := range p.claiming(n) {
		d.Cylinders = append(d.Cylinders, l.cylinder(p, c, n, c.leftBehind(n)))
	}
	return gas.AssessBriefly(l.Policy, d)
}

// cylinder is what the check needs of one of a person's cylinders.
func (l *look) cylinder(p *Person, c *Cylinder, n int, behind bool) gas.Cylinder {
	e, ph := l.find(p, c, n)
	return gas.Cylinder{Key: string(c.ID), Asked: c.Asked, Claims: l.claims(p, c, n), LeftBehind: behind, Evidence: e,
		Question: ph.questioned()}
}

// questioned tells whether a number is being asked about, wherever it stands.
func (ph *physical) questioned() bool {
	return slices.ContainsFunc(ph.parts, func(p part) bool { return len(p.cyl.Questions) > 0 })
}

// gone tells whether a cylinder of a person was given back, or another stands in its place.
func (p *Person) gone(id CylinderID) bool {
	return slices.ContainsFunc(p.Cylinders, func(c *Cylinder) bool { return c.ID == id && !c.Retired.IsZero() })
}

// judge fills in what the verdict comes to. Of a cylinder that is gone nothing can be
// analysed or answered for by its diver any more: that takes a leader's word.
func (c *Clearance) judge(v gas.Verdict, gone func(CylinderID) bool) {
	c.Active, c.Verdict, c.Status = true, v, v.Status()
	c.Max, c.MaxMinutes = v.Max, v.MaxMinutes
	for i := range v.Findings {
		f := &v.Findings[i]
		need := NeedOf(f)
		if need == "" {
			continue
		}
		if need != NeedCard && need != NeedAnswer && gone(CylinderID(f.Cylinder)) {
			need = NeedSpeak
		}
		if o := (Owed{Person: c.Person, Cylinder: CylinderID(f.Cylinder), Why: need, Rule: f.Rule}); !slices.Contains(c.Owes,
			o) {
			c.Owes = append(c.Owes, o)
		}
	}
	for _, need := range needs {
		if slices.ContainsFunc(c.Owes, func(o Owed) bool { return o.Why == need }) {
			c.Needs = append(c.Needs, need)
		}
	}
}

var needs = [...]Need{NeedReading, NeedCard, NeedBoatAnswer, NeedWitness, NeedCylinder, NeedAirPoint, NeedAnswer,
	NeedSpeak, NeedLeft}

// NeedOf is what a finding asks for, "" when nothing.
func NeedOf(f *gas.Finding) Need {
	if f.Rule == gas.RuleImproved && f.Severity.Worse(gas.Limits) {
		if !f.Measured.Known {
			return NeedReading // nothing was said instead
		}
		return NeedWitness
	}
	if f.Severity != gas.Missing {
		return ""
	}
	switch f.Rule {
	case gas.RuleNoReading:
		switch f.Do {
		case "answer-boat-question":
			return NeedBoatAnswer
		case "analyse-or-witness":
			return NeedWitness
		case "recalibrate":
			return NeedAirPoint
		}
		return NeedReading
	case gas.RuleStale:
		if f.Do == "answer-boat-question" {
			return NeedBoatAnswer
		}
		return NeedReading
	case gas.RuleCard, gas.RuleAirIsNotAir:
		return NeedCard
	case gas.RuleAirPoint:
		return NeedAirPoint
	case gas.RuleRepeat:
		return NeedWitness
	case gas.RuleMeasured, gas.RuleQuestion:
		return NeedAnswer
	case gas.RuleSameCylinder, gas.RuleNoCylinder:
		return NeedCylinder
	case gas.RuleSpeak:
		return NeedSpeak
	case gas.RuleLeft:
		return NeedLeft
	}
	return ""
}
