package judge

// "air-point: below 20.7 a note; outside: calibrate again, does not count".
func (l *look) airPoint() Severity {
	return l.worst(func(e evidence) Severity {
		if len(e.counting) == 0 && e.blocked(badAirPoint) {
			return NotCleared
		}
		found := NotApplicable
		for _, r := range e.counting {
			if r.air.given {
				found = worse(found, r.air.severity)
			}
		}
		return found
	})
}

// "humid-air: the reading without an air point counts as shown for depth and as reading x expected O2 /
// 20.9 for time: note / limits", limits where it is that which costs the plan minutes.
func (l *look) humidAir() Severity {
	return l.worst(func(e evidence) Severity {
		found := NotApplicable
		for _, r := range e.compared {
			if r.humid() == 0 {
				continue
			}
			found = worse(found, Note)
			if !fitsNoStop(l.v.plan.Minutes, l.noStopWith(e.lean)) && fitsNoStop(l.v.plan.Minutes, l.noStopWith(e.dry())) {
				return Limits
			}
		}
		return found
	})
}

// "repeat: evidence 3". "While unsettled lasts, a plan that fits the richest (depth, contingency, oxygen
// clock) and the leanest (no-stop) with no worse than a note is go with limits, and says so."
func (l *look) repeat() Severity {
	fits := !l.p.last24
	for _, r := range []Rule{RuleDepth, RuleContingency, RuleOxygenClock, RuleNoStop} {
		fits = fits && l.found[r].weight() <= Note
	}
	return l.worst(func(e evidence) Severity {
		switch {
		case e.unsettled && fits:
			return Limits
		case e.unsettled:
			l.owe(e, NeedWitness)
			return NotCleared
		case e.noted:
			return Note
		case len(e.compared) > 1:
			return Pass
		}
		return NotApplicable
	})
}

// "improved: evidence 4: not-cleared / no-go stays".
func (l *look) improved() Severity {
	return l.worst(func(e evidence) Severity {
		found := NotApplicable
		for _, p := range l.d.openPromises(e.place.body.real()) {
			if p.it == nil {
				l.owe(e, NeedReading)
			} else {
				l.owe(e, NeedWitness)
			}
			found = worse(found, NotCleared)
			if p.noGo {
				found = NoGo
			}
		}
		return found
	})
}

// "measured: asked once whether the analyser showed it: not-cleared until answered or witnessed".
func (l *look) measured() Severity {
	return l.worst(func(e evidence) Severity {
		found := NotApplicable
		for _, r := range l.d.asking(e) {
			found = worse(found, Pass)
			if l.d.askedToShow(r, e) {
				l.needs[NeedAnswer] = true
				return NotCleared
			}
		}
		return found
	})
}

// "stale: evidence 2: not-cleared".
func (l *look) stale() Severity {
	return l.worst(func(e evidence) Severity {
		switch {
		case len(e.counting) > 0:
			return Pass
		case e.blocked(tooOld) || e.blocked(notAnswered):
			return NotCleared
		}
		return NotApplicable
	})
}

// "same-cylinder: one cylinder claimed by two divers for one dive: not-cleared for both".
func (l *look) sameCylinder() Severity {
	return l.worst(func(e evidence) Severity {
		switch {
		case e.place.label == "":
			return NotApplicable
		case l.d.claimed(e.place, l.v):
			l.owe(e, NeedCylinder)
			return NotCleared
		}
		return Pass
	})
}

// 7. "A number for a cylinder that is being asked about leaves that cylinder not cleared (ANSWER) until it
// is answered or taken back."
func (l *look) question() Severity {
	return l.worst(func(e evidence) Severity {
		if !l.d.questioned(e.place.body.real()) {
			return Pass
		}
		l.needs[NeedAnswer] = true
		return NotCleared
	})
}
