package judge

import "gasmuster/internal/gas"

// "no-stop: planned minutes against the no-stop time, residual nitrogen included: limits; under 1 minute
// no-go".
func (l *look) noStopTime() Severity {
	switch {
	case !l.read:
		return NotApplicable
	case l.noStop != unlimited && l.noStop < 1:
		return NoGo
	case !fitsNoStop(l.v.plan.Minutes, l.noStop):
		return Limits
	}
	return Pass
}

// "'Dived in the last 24 hours: yes' means: the times here say too much, follow your own computer (a
// limit); unanswered counts as no."
func (l *look) ownTables() Severity {
	if l.p.last24 {
		return Limits
	}
	return Pass
}

// "lean: leaner than asked and it costs the plan minutes: limits only then".
func (l *look) leanGas() Severity {
	if !l.read {
		return NotApplicable
	}
	if fitsNoStop(l.v.plan.Minutes, l.noStop) {
		return Pass
	}
	return l.worst(func(e evidence) Severity {
		for _, asked := range e.place.askedSince(l.d.count) {
			costs := e.read() && e.lean < asked-exactly && !fitsNoStop(l.v.plan.Minutes, l.noStopWith(e.lean))
			if costs && fitsNoStop(l.v.plan.Minutes, l.noStopWith(asked)) {
				return Limits
			}
		}
		return Pass
	})
}

// "oxygen-clock: CNS over the day by the NOAA limits, single and 24 h: above 80 % limits, above 100 % or
// ppO2 above 1.6 no-go". "Oxygen from today's dives stays as a lower bound: over the limit is still a
// no-go."
func (l *look) oxygenClock() Severity {
	c := l.carried
	beyond := c.beyond
	if l.read {
		plan := l.v.plan
		o, ok := l.d.gasPlace(plan).OxygenOf(gas.Percent(l.rich), gas.Depth{Value: plan.Depth, Unit: l.d.units}, plan.Minutes)
		c.cns, c.cns24, beyond = c.cns+o.CNS, c.cns24+o.CNS24, beyond || !ok
	}
	most := max(c.cns, c.cns24)
	switch {
	case beyond, most > 100+exactly:
		return NoGo
	case !l.read:
		return NotApplicable
	case most > 80+exactly:
		return Limits
	}
	return Pass
}
