package sim

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/sim/judge"
)

// What happens under a signature, and at an invite that should be shut: each shows what else would need chance.

// changesSigned changes one thing of what was just signed.
func (d *director) changesSigned() []judge.Said {
	switch d.IntN(6) {
	case 0:
		return d.cardOfAir()
	case 1:
		return d.sameInOtherAir()
	case 2:
		return d.exchangesRoles()
	}
	return d.changesPlan()
}

// changesPlan is one thing of the plan that was just signed.
func (d *director) changesPlan() []judge.Said {
	s := d.say(judge.SaidPlan, d.mostly(append(d.leaders(), judge.Shop)...))
	s.Dive, s.Plan = d.before.Dive, d.booked.Dives[d.before.Dive-1]
	if d.change(&s.Plan, s.Dive); d.impossible(s.Plan) {
		return nil
	}
	return one(s)
}

// cardOfAir is a card of who breathes air: it changes nothing but the card.
func (d *director) cardOfAir() []judge.Said {
	for _, q := range d.spots {
		if p := d.someone(q.owner); q.Dive == d.before.Dive && q.Asked < float64(gas.EnrichedFrom) && p != nil {
			s := d.of(judge.SaidCard, d.sees(p), p)
			s.Card = pick(d.Rand, judge.CardSeen, judge.CardUnseen, judge.CardNone)
			return one(s)
		}
	}
	return nil
}

// sameInOtherAir is a number that was said already, of an analyser that was set in slightly more humid air.
func (d *director) sameInOtherAir() []judge.Said {
	for _, r := range d.shown {
		if r.gone || r.spot == nil || r.spot.Dive != d.before.Dive || d.chance(50) {
			continue
		}
		d.now = d.now.Add(2*time.Minute + seconds(1))
		air, again := d.say(judge.SaidWeather, d.mostly(d.leaders()...)), d.same(r)
		air.Weather = gas.Weather{Celsius: pick(d.Rand, 5.0, 12, 20), Humidity: pick(d.Rand, 40.0, 60), Known: true}
		air.Change, again.Change = d.changes, d.changes
		return []judge.Said{air, again}
	}
	return nil
}

// exchangesRoles gives a leader the role and the team of the crew, and the other way round: where neither dives, the
// boat is led by as many as before.
func (d *director) exchangesRoles() []judge.Said {
	var leader, crew *someone
	for _, p := range d.people {
		switch {
		case p.left || d.spotsOf(p) > 0:
		case p.Leader:
			leader = p
		case p.Crew:
			crew = p
		}
	}
	if leader == nil || crew == nil {
		return nil
	}
	d.changes++
	return append(d.becomes(leader, *crew), d.becomes(crew, *leader)...)
}

// becomes gives somebody the role and the team of somebody else.
func (d *director) becomes(p *someone, like someone) []judge.Said {
	role, team := d.of(judge.SaidRole, judge.Shop, p), d.of(judge.SaidTeam, judge.Shop, p)
	role.Leader, role.Crew, team.Team = like.Leader, like.Crew, like.Team
	role.Change, team.Change = d.changes, d.changes
	return []judge.Said{role, team}
}

func (d *director) spotsOf(p *someone) int {
	n := 0
	for _, q := range d.spots {
		if q.owner == p.ID {
			n++
		}
	}
	return n
}

// atTheInvite is who comes to the open invite just when it should be shut, and is let in all the same.
func (d *director) atTheInvite() []judge.Said {
	switch {
	case d.before.Kind == judge.SaidSentAway:
		s := d.say(judge.SaidLetIn, d.mostly(d.crew()...))
		s.Person = d.before.Person
		return one(s)
	case d.before.Kind == judge.SaidWaits && d.chance(60):
		return d.letsIn()
	case d.invite && d.before.Kind != judge.SaidWaits && d.chance(40):
		return d.knocks()
	}
	return nil
}
