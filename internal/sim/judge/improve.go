package judge

import (
	"slices"

	"gasmuster/internal/roster"
)

// Greener tells whether a clearance became greener: "from no-go or not cleared to go or limits, or a limit
// gone".
func Greener(before, after DiverVerdict) bool {
	if !after.Status.mayDive() {
		return false
	}
	switch before.Status {
	case StatusNoGo, StatusNotCleared:
		return true
	case StatusLimits:
		for r, s := range before.Rules {
			if s == Limits && !explains[r] && after.Rules[r].weight() < Limits {
				return true
			}
		}
		return after.Status == StatusGo
	}
	return false
}

// explains are rules that only say why the no-stop time is short, and never stand alone.
var explains = map[Rule]bool{RuleLean: true, RuleHumidAir: true}

func (s Status) mayDive() bool { return s == StatusGo || s == StatusLimits }

// MayImprove tells whether product.md, "What may improve a clearance", lets one entry make the clearance of
// somebody greener. The day is the one before the entry was heard. Time passing is no entry, and never may.
func (d *Day) MayImprove(who roster.PersonID, s Said) bool {
	p := d.person(who)
	if p == nil {
		return false
	}
	switch s.Kind {
	case SaidReading, SaidCorrection, SaidUndo, SaidShown, SaidQuestion, SaidAnswer, SaidWithdrawn, SaidSeriesAside,
		SaidAirPoint, SaidBoatAnswer:
		return d.evidenceMayImprove(p, s)
	case SaidPlan, SaidStart, SaidPolicy, SaidConsent, SaidDived, SaidDivedBack, SaidNotDived:
		return d.enteredForAllMayImprove(p, s)
	case SaidAnother, SaidLabel, SaidMoved, SaidRetired, SaidNotUsed, SaidReplanned:
		return d.cylinderMayImprove(p, s)
	}
	return d.wordMayImprove(p, s)
}

// "A counting reading; settling; a correction, an undo or a withdrawn question; 'the analyser showed it'; an
// air point that passes; the boat question answered."
func (d *Day) evidenceMayImprove(p *person, s Said) bool {
	switch s.Kind {
	case SaidReading:
		q := d.place(s.Cylinder)
		return s.By != Shop && q != nil && d.sharesCylinder(p, q.body)
	case SaidCorrection, SaidUndo, SaidShown:
		r := d.reading(s.Of)
		return r != nil && d.sharesCylinder(p, r.body)
	case SaidAnswer, SaidWithdrawn:
		return slices.ContainsFunc(d.questions[s.Question], func(b *body) bool { return d.sharesCylinder(p, b) })
	case SaidBoatAnswer:
		q := d.place(s.Cylinder)
		return q != nil && q.owner == p && s.Boat == BoatKept
	case SaidSeriesAside:
		return d.leader(s.By)
	case SaidAirPoint:
		a := airPoint{analyser: s.Analyser, value: s.AirPoint, weather: d.weatherOf(s)}
		return judgeAir(a, d.dives[0].plan.Altitude).severity < NotCleared
	}
	return false
}

// sharesCylinder tells whether somebody has a cylinder in a place of theirs.
func (d *Day) sharesCylinder(p *person, b *body) bool {
	return slices.ContainsFunc(d.places, func(q *place) bool { return q.owner == p && q.body.real() == b.real() })
}

// "A shallower or shorter plan; start, interval, site, bottom, water, altitude, by a leader, or by the shop
// before the first reading; what was dived, or that an earlier dive is not dived, by a leader; a policy by the
// shop before the first reading, later with a leader's consent." What is entered for all may help who enters it.
func (d *Day) enteredForAllMayImprove(p *person, s Said) bool {
	switch s.Kind {
	case SaidPlan:
		v := d.dive(s.Dive)
		shorter := v != nil && (s.Plan.Depth < v.plan.Depth || s.Plan.Minutes < v.plan.Minutes)
		return d.leader(s.By) || d.agreed(s) || s.By == Shop && shorter
	case SaidStart:
		return d.leader(s.By) || d.agreed(s)
	case SaidPolicy:
		return d.agreed(s)
	case SaidDived:
		return d.leader(s.By) && (s.Person != s.By || p.ID != s.By) // that it was dived is entered for all
	}
	return d.leader(s.By)
}

// "A cylinder or a person moved to another dive or team by a leader other than its diver; the other claimant's
// change of cylinder; 're-planned'. Another cylinder is not analysed, so not greener."
func (d *Day) cylinderMayImprove(p *person, s Said) bool {
	q := d.place(s.Cylinder)
	if q == nil {
		return false
	}
	claimant := q.owner != p && slices.ContainsFunc(d.places, func(o *place) bool {
		return o.owner == p && o.label == q.label
	})
	switch s.Kind {
	case SaidAnother, SaidLabel:
		return claimant
	case SaidReplanned:
		return q.owner == p && d.leaderFor(s.By, p)
	}
	return d.leaderFor(s.By, q.owner) && (q.owner == p || claimant)
}

// "A card or qualification seen by leader, crew or shop; a limit shallower or shorter, a leader's own limit
// taken back by a leader; brought back by a leader; outside or out; a leader's word that 'helium' was a slip.
// Nothing else by anybody."
func (d *Day) wordMayImprove(p *person, s Said) bool {
	about := s.Person == p.ID
	switch s.Kind {
	case SaidCard, SaidQualification:
		return about && (d.crewOrShopFor(s.By, p) || d.soleLeadersWitness(s, p))
	case SaidLimit:
		ofTeam := s.Person == "" && slices.Contains(p.teams, s.Team)
		return d.leader(s.By) && (about || ofTeam)
	case SaidTeam, SaidBroughtBack, SaidHeliumSlip:
		return about && d.leaderFor(s.By, p)
	case SaidOut, SaidBack:
		return d.leader(s.By)
	case SaidOutside, SaidOutsideBack:
		subject := d.person(s.Person)
		return subject != nil && (s.By == Shop || d.leaderFor(s.By, subject))
	}
	return false
}
