package judge

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// look is one clearance as it is looked at: one diver on one dive, at one moment.
type look struct {
	d          *Day
	p          *person
	v          *dive
	now        time.Time
	inUse      bool // there is a cylinder in use for the dive
	evidence   []evidence
	read       bool    // something was read of some cylinder
	rich, lean float64 // of all cylinders
	carried    carried
	own, team  Limit
	noStop     int
	found      map[Rule]Severity
	needs      map[Need]bool
}

// look judges one diver on one dive. "The worst finding on that dive decides."
func (d *Day) look(p *person, v *dive, now time.Time) *look {
	l := &look{d: d, p: p, v: v, now: now, found: make(map[Rule]Severity, len(rules)), needs: map[Need]bool{}}
	for r := range rules {
		l.found[rules[r].name] = NotApplicable
	}
	l.gather()
	for _, r := range rules {
		l.found[r.name] = worse(l.found[r.name], r.judge(l))
	}
	return l
}

func (l *look) gather() {
	var places []*place
	places, l.inUse = l.d.on(l.p, l.v.number)
	var all breathed
	for _, q := range places {
		e := l.d.evidence(q, l.v.number, l.now)
		l.evidence = append(l.evidence, e)
		if e.read() {
			all.add(e.rich, e.lean)
		}
	}
	l.read, l.rich, l.lean = all.any, all.rich, all.lean
	l.carried = l.d.carriedTo(l.p, l.v.number, l.now)
	l.own, l.team = l.d.limitsOf(l.p, l.v.number)
	if l.read {
		l.noStop = l.noStopWith(l.lean)
	}
}

// rules are those of the table in product.md, in its order, then those of the clearance's own table.
// One that comes after another may look at what that found.
var rules = []struct {
	name  Rule
	judge func(*look) Severity
}{
	{RuleNoReading, (*look).noReading},
	{RuleOutOfRange, (*look).outOfRange},
	{RuleDepth, (*look).depth},
	{RuleDeepest, (*look).deepest},
	{RuleBottom, (*look).bottom},
	{RuleContingency, (*look).contingency},
	{RuleThinMargin, (*look).thinMargin},
	{RuleAsked, (*look).asked},
	{RuleOwnTables, (*look).ownTables},
	{RuleNoStop, (*look).noStopTime},
	{RuleLean, (*look).leanGas},
	{RuleCard, (*look).card},
	{RuleAirIsNotAir, (*look).airIsNotAir},
	{RuleAirPoint, (*look).airPoint},
	{RuleHumidAir, (*look).humidAir},
	{RuleOxygenClock, (*look).oxygenClock},
	{RuleRepeat, (*look).repeat}, // looks at depth, contingency, no-stop and the oxygen clock
	{RuleImproved, (*look).improved},
	{RuleMeasured, (*look).measured},
	{RuleStale, (*look).stale},
	{RuleSameCylinder, (*look).sameCylinder},
	{RuleTeam, (*look).teamLimit},
	{RuleCarbonMonoxide, (*look).carbonMonoxide},
	{RuleDepthLimit, (*look).depthLimit},
	{RuleNoCylinder, (*look).noCylinder},
	{RuleLeft, (*look).left},
	{RuleSpeak, (*look).speak},
	{RuleQuestion, (*look).question},
	{RuleOwnLimit, (*look).ownLimit},
}

// verdict puts the findings together. "Outside and out are a person's states, not severities."
func (l *look) verdict() DiverVerdict {
	v := DiverVerdict{Person: l.p.ID, Status: l.status(), NoStop: l.noStop, Rules: l.found, Ceiling: int(l.ceiling())}
	for _, need := range []Need{NeedReading, NeedCard, NeedBoatAnswer, NeedWitness, NeedCylinder, NeedAirPoint, NeedAnswer,
		NeedSpeak, NeedLeft} {
		if l.needs[need] && v.Status != StatusOut && v.Status != StatusOutside {
			v.Needs = append(v.Needs, need)
		}
	}
	if v.Status == StatusGo || v.Status == StatusLimits {
		v.MaxDepth = v.Ceiling
		v.MaxMinutes = l.maxMinutes()
	}
	for _, e := range l.evidence {
		v.Cylinders = append(v.Cylinders, CylinderVerdict{Cylinder: e.place.id, Left: e.place.dive != l.v.number,
			Counting: ids(e.counting),
			Compared: ids(e.compared), Unsettled: e.unsettled, Rich: e.rich, Lean: e.lean})
	}
	v.Before = l.before()
	return v
}

func (l *look) before() []EarlierDive {
	var list []EarlierDive
	for _, e := range l.d.dives[:l.v.number-1] {
		g, done := l.d.gasOn(l.p, e, l.now), l.d.doneBy(l.p, e)
		list = append(list, EarlierDive{e.number, g.any, g.rich, g.lean, done.Depth, done.Minutes})
	}
	return list
}

func (l *look) status() Status {
	worst := Pass
	for _, s := range l.found {
		worst = worse(worst, s)
	}
	switch {
	case l.p.outsides[0], l.p.outsides[l.v.number]:
		return StatusOutside
	case l.p.outs[0], l.p.outs[l.v.number]:
		return StatusOut
	case worst == NoGo:
		return StatusNoGo
	case worst == NotCleared:
		return StatusNotCleared
	case worst == Limits:
		return StatusLimits
	}
	return StatusGo
}

// ceiling is the diver's max: "the shallowest of the label's MOD, the qualification, a leader's limit for
// the diver or the team, and the policy's deepest depth". Whole, in the trip's units.
func (l *look) ceiling() float64 {
	most := l.d.policy.Deepest
	for _, limit := range []float64{l.d.qualification(l.p), l.own.Depth, l.team.Depth} {
		if limit > 0 {
			most = min(most, limit)
		}
	}
	if l.read {
		most = min(most, l.mod(l.rich, l.d.policy.PPO2))
	}
	return floor(most)
}

// maxMinutes is the shorter of the no-stop time and a leader's minutes. Who dived in the last 24 hours
// follows their own computer: "the times here say too much".
func (l *look) maxMinutes() int {
	most := l.own.tighter(l.team).Minutes
	if l.noStop != unlimited && !l.p.last24 {
		most = tighter(most, float64(l.noStop))
	}
	return int(most)
}

// mod is the exact MOD of a gas, in the trip's units.
func (l *look) mod(o2, ppo2 float64) float64 {
	return l.d.gasPlace(l.v.plan).MOD(gas.Percent(o2), gas.PPO2(ppo2)).Value
}

func (l *look) ppo2(o2, depth float64) float64 {
	return float64(l.d.gasPlace(l.v.plan).PPO2(gas.Percent(o2), gas.Depth{Value: depth, Unit: l.d.units}))
}

// noStopWith is the no-stop time with a gas, residual nitrogen included.
func (l *look) noStopWith(o2 float64) int {
	return l.d.noStopOf(noStopAsked{l.carried.tissues, seaOf(l.v.plan), o2, l.d.metres(l.v.plan.Depth), l.d.policy.GF})
}

func fitsNoStop(minutes float64, noStop int) bool {
	return noStop == unlimited || minutes <= float64(noStop)+exactly
}

// worst is the worst of a rule over all cylinders of the dive.
func (l *look) worst(judge func(evidence) Severity) Severity {
	worst := NotApplicable
	for _, e := range l.evidence {
		worst = worse(worst, judge(e))
	}
	return worst
}

// noGoRules are the rules that a cylinder breaks on a dive that it is for.
func (d *Day) noGoRules(q *place, now time.Time) []Rule {
	var broken []Rule
	for _, v := range d.dives {
		if v.dived || q.dive != v.number && !slices.Contains(q.leftOn, v.number) {
			continue
		}
		for r, s := range d.look(q.owner, v, now).found {
			if s == NoGo {
				broken = append(broken, r)
			}
		}
	}
	return broken
}
