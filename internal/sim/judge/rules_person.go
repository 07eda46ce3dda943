package judge

// "team: a limit that a leader set for the team: limits", where it is tighter than the plan. It is whole, as the
// diver's max is: 14.5 m is 14.
func (l *look) teamLimit() Severity { return l.limit(l.team) }

// A leader's limit for this diver, the same way.
func (l *look) ownLimit() Severity { return l.limit(l.own) }

func (l *look) limit(limit Limit) Severity {
	plan := l.v.plan
	switch {
	case limit == Limit{}:
		return NotApplicable
	case limit.Depth > 0 && floor(limit.Depth) < plan.Depth-exactly,
		limit.Minutes > 0 && limit.Minutes < plan.Minutes-exactly:
		return Limits
	}
	return Pass
}

// "depth-limit: planned deeper than the qualification: no-go, unless the leader set that diver a depth
// within it: limits".
func (l *look) depthLimit() Severity {
	q := l.d.qualification(l.p)
	switch {
	case q == 0:
		return NotApplicable
	case l.v.plan.Depth <= q+exactly:
		return Pass
	case l.own.Depth > 0 && floor(l.own.Depth) <= q+exactly: // it is shown whole
		return Limits
	}
	return NoGo
}

// "An active diver without a cylinder in use for the dive is not cleared (NO CYLINDER)."
func (l *look) noCylinder() Severity {
	if l.inUse {
		return Pass
	}
	l.needs[NeedCylinder] = true
	return NotCleared
}

// "Who left, forgot or was removed before sign-off is not cleared (LEFT) until a leader sits them out."
func (l *look) left() Severity {
	if !l.p.left {
		return Pass
	}
	l.needs[NeedLeft] = true
	return NotCleared
}

// "A diver who names helium or a closed circuit is not cleared (SPEAK TO the leader)."
func (l *look) speak() Severity {
	if !l.p.helium {
		return Pass
	}
	l.needs[NeedSpeak] = true
	return NotCleared
}
