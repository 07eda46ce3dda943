package judge

import "math"

// floor is a limit as it is written: whole. 39.9999999999 is 40.
func floor(v float64) float64 { return math.Floor(v + exactly) }

// "no-reading: a cylinder without a counting reading: not-cleared".
func (l *look) noReading() Severity {
	return l.worst(func(e evidence) Severity {
		if len(e.counting) > 0 {
			return Pass
		}
		l.needReading(e)
		return NotCleared
	})
}

// needReading is what a cylinder without a counting reading needs.
func (l *look) needReading(e evidence) {
	switch {
	case e.blocked(notAnswered):
		l.owe(e, NeedBoatAnswer)
	case e.blocked(badAirPoint):
		l.owe(e, NeedAirPoint)
	case e.blocked(unconfirmed):
		l.owe(e, NeedWitness)
	default:
		l.owe(e, NeedReading)
	}
}

// owe notes what somebody needs for a cylinder. Of one that was given back, or another stands in its place, nothing
// can be analysed any more: "until a leader confirms that it is not dived there".
func (l *look) owe(e evidence, need Need) {
	if e.place.dive == 0 {
		need = NeedSpeak
	}
	l.needs[need] = true
}

// "out-of-range: below 20.0: analyser or gas fault; above 40.0 (policy): no-go".
func (l *look) outOfRange() Severity {
	return l.worst(func(e evidence) Severity {
		found := NotApplicable
		for _, r := range e.compared {
			found = worse(found, Pass)
			if r.value < 20-exactly || r.value > l.d.policy.MaxO2+exactly {
				return NoGo
			}
		}
		return found
	})
}

// "depth: planned depth against the MOD at the working ppO2: deeper than the exact MOD: no-go. Between
// the whole MOD on the label and the exact one: limits".
func (l *look) depth() Severity {
	if !l.read {
		return NotApplicable
	}
	exact, planned := l.mod(l.rich, l.d.policy.PPO2), l.v.plan.Depth
	switch {
	case planned > exact+exactly:
		return NoGo
	case planned > floor(exact)+exactly:
		return Limits
	}
	return Pass
}

// "deepest: a plan beyond the policy's deepest (the policy was lowered): no-go".
func (l *look) deepest() Severity {
	if l.v.plan.Depth > l.d.policy.Deepest+exactly {
		return NoGo
	}
	return Pass
}

// "bottom: the deepest point reachable, or none: deeper than the diver's max: limits, a hard depth". "At
// a bottomless site everybody has a hard depth."
func (l *look) bottom() Severity {
	switch {
	case l.v.plan.Bottomless:
		return Limits
	case l.v.plan.Bottom == 0:
		return NotApplicable
	case l.v.plan.Bottom > l.ceiling()+exactly:
		return Limits
	}
	return Pass
}

// "contingency: ppO2 above ppo2_max (1.6) at planned depth: no-go; at the bottom only: limits".
func (l *look) contingency() Severity {
	if !l.read {
		return NotApplicable
	}
	most := l.d.policy.PPO2Max + exactly
	switch {
	case l.ppo2(l.rich, l.v.plan.Depth) > most:
		return NoGo
	case l.v.plan.Bottomless, l.v.plan.Bottom > 0 && l.ppo2(l.rich, l.v.plan.Bottom) > most:
		return Limits
	}
	return Pass
}

// "thin-margin: passes, but would fail if the analyser read one point low: note".
func (l *look) thinMargin() Severity {
	switch {
	case !l.read:
		return NotApplicable
	case l.found[RuleDepth] < NoGo && l.v.plan.Depth > l.mod(l.rich+1, l.d.policy.PPO2)+exactly:
		return Note
	}
	return Pass
}

// "carbon-monoxide: the highest since the fill: above 3 ppm a note, above the policy's limit no-go".
func (l *look) carbonMonoxide() Severity {
	return l.worst(func(e evidence) Severity {
		ppm, measured := l.d.carbonMonoxide(e.place.body.real())
		switch {
		case !measured:
			return NotApplicable
		case ppm > l.d.policy.MaxCO+exactly:
			return NoGo
		case ppm > 3+exactly:
			return Note
		}
		return Pass
	})
}
