package judge

import "slices"

// read tells whether the first reading of the trip was said.
func (d *Day) read() bool { return len(d.readings) > 0 }

// agreed tells whether a change of the plan or the policy holds as a whole: "by a leader, or by the
// shop before the first reading", later with a leader's consent.
func (d *Day) agreed(s Said) bool {
	return s.By == Shop && (!d.read() || d.leader(s.Consent))
}

// hearPlan changes a dive's plan. "A plan beyond the deepest is refused until the policy allows it."
// What the shop changes after the first reading holds at once where it is shallower, shorter or
// stricter; the rest waits for a leader.
func (d *Day) hearPlan(s Said) {
	v := d.dive(s.Dive)
	if v == nil || v.dived || !(s.Plan.Depth > 0 && s.Plan.Minutes > 0) || s.Plan.Depth > d.policy.Deepest+exactly {
		return
	}
	switch {
	case d.leader(s.By), d.agreed(s):
		d.drop(s)
		v.plan, v.agreed = s.Plan, 0
	case s.By == Shop:
		if s.Plan.Interval < v.plan.Interval {
			v.agreed = max(v.agreed, v.plan.Interval)
		}
		v.plan = v.plan.stricter(s.Plan)
		d.hold(s)
	}
}

// drop forgets what waited and was said of the same thing before; hold lets something wait in its place.
func (d *Day) drop(s Said) {
	d.held = slices.DeleteFunc(d.held, func(h Said) bool { return h.Kind == s.Kind && h.Dive == s.Dive })
}

func (d *Day) hold(s Said) {
	d.drop(s)
	d.held = append(d.held, s)
}

// stricter is a plan with what holds at once of a new one.
func (p Dive) stricter(n Dive) Dive {
	p.Site, p.Depth, p.Minutes = n.Site, n.Depth, n.Minutes
	p.Interval = min(p.Interval, n.Interval)
	p.Bottomless = p.Bottomless || n.Bottomless
	p.Bottom = max(p.Bottom, n.Bottom)
	if p.Bottomless {
		p.Bottom = 0
	}
	return p
}

// hearStart moves the day; earlier by the shop waits for a leader once something was read.
func (d *Day) hearStart(s Said) {
	moved := s.Departs.Add(minutes(s.FirstDiveAfter))
	switch {
	case d.leader(s.By), d.agreed(s), s.By == Shop && !moved.Before(d.start(1)):
		d.drop(s)
		d.departs, d.firstDiveAfter = s.Departs, s.FirstDiveAfter
	case s.By == Shop:
		d.hold(s)
	}
}

// "A policy by the shop before the first reading, later with a leader's consent." What it makes
// stricter holds at once.
func (d *Day) hearPolicy(s Said) {
	switch {
	case d.agreed(s):
		d.drop(s)
		d.policy = s.Policy
	case s.By == Shop:
		d.policy = d.policy.stricter(s.Policy)
		d.hold(s)
	}
}

func (p Policy) stricter(n Policy) Policy {
	s := Policy{PPO2: min(p.PPO2, n.PPO2), PPO2Max: min(p.PPO2Max, n.PPO2Max), MaxO2: min(p.MaxO2, n.MaxO2),
		Deepest: min(p.Deepest, n.Deepest), MaxCO: min(p.MaxCO, n.MaxCO), Tolerance: min(p.Tolerance, n.Tolerance),
		TellShop: min(p.TellShop, n.TellShop), GF: min(p.GF, n.GF), FreshFor: min(p.FreshFor, n.FreshFor),
		BoatCheck: p.BoatCheck, OxygenCredit: p.OxygenCredit && n.OxygenCredit}
	if n.BoatCheck == BoatCheckAll {
		s.BoatCheck = BoatCheckAll
	}
	return s
}

// hearConsent lets hold what the shop changed and what waited for a leader.
func (d *Day) hearConsent(s Said) {
	if !d.leader(s.By) {
		return
	}
	waiting := d.held
	d.held = nil
	for _, h := range waiting {
		h.Consent = s.By
		hearers[h.Kind](d, h)
	}
}

// hearBoatCheck opens the boat check of a dive, or opens it again.
func (d *Day) hearBoatCheck(s Said) {
	if v := d.dive(s.Dive); v != nil && d.leader(s.By) {
		v.checks = append(v.checks, mark{s.At, d.count})
		v.startAt = d.start(v.number)
	}
}
