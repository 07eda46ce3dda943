package roster

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// SetLimit sets a leader's limit for a person on a dive, or (0) on every dive;
// no depth and no minutes take it back. A depth alone leaves the minutes that were
// set before, minutes alone the depth. A limit for one dive and one for all hold
// both. For themself a leader may only tighten it, in depth or in time.
func (d *Draft) SetLimit(p PersonID, l Limit, now time.Time) bool {
	person := d.Person(p)
	if person == nil || !d.leads(l.By) {
		return false
	}
	was := limitFor(person.Limits, "", l.Dive)
	if l = l.Beside(was); l.same(was) {
		return true
	}
	if l.By == p {
		own := gas.Limit{Depth: was.Depth, Minutes: was.Minutes}.Tighter(gas.Limit{Depth: l.Depth, Minutes: l.Minutes})
		if l.Depth, l.Minutes = own.Depth, own.Minutes; l.same(was) {
			return false
		}
	}
	l.Team, l.At = "", now
	person = d.Edit(p)
	person.Limits = withLimit(person.Limits, l)
	d.act(now, l.By, VerbLimit, string(p), l.Why, l.detail(was)...)
	return true
}

// SetTeamLimit sets a leader's limit for a team; see SetLimit. A leader of the
// team who loosens it keeps the old one for themself until another leader sets one.
func (d *Draft) SetTeamLimit(l Limit, now time.Time) bool {
	if l.Team == "" || !d.leads(l.By) {
		return false
	}
	was, said := limitFor(d.Teams, l.Team, l.Dive), l
	if l = l.Beside(was); l.same(was) && !d.holds(said) {
		return true
	}
	l.At = now
	plan := d.EditPlan()
	plan.Teams = withLimit(plan.Teams, l)
	for _, p := range d.People {
		switch {
		case p.ID != l.By && p.holds(said):
			person := d.Edit(p.ID)
			person.Held = heldBeside(person.Held, said)
		case p.ID == l.By && p.of(l.Team) && l.looser(was):
			person := d.Edit(p.ID)
			person.Held = append(person.Held, was)
		}
	}
	d.act(now, l.By, VerbTeamLimit, "", l.Why, append([]string{"team", l.Team}, l.detail(was)...)...)
	return true
}

// SetTeam moves a person to another team. By a leader other than them the old
// team's limits end for them; by the shop, or a leader for themself, they hold on as
// if they were in both. It
// returns false for anybody else.
func (d *Draft) SetTeam(p PersonID, team string, by PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil || by != "" && !d.leads(by) {
		return false
	}
	if person.Team == team {
		return true
	}
	was := person.Team
	person = d.Edit(p)
	person.Team = team
	if d.leadsOther(by, p) {
		person.Held, person.Former = nil, nil
	} else if was != "" {
		person.Former = append(person.Former, was)
	}
	d.act(now, by, VerbTeam, string(p), "", "was", was, "now", team)
	return true
}

// Beside is a limit with the half that it does not say as it was before: minutes
// lift no depth. One that says neither lifts both.
func (l Limit) Beside(was Limit) Limit {
	switch {
	case !l.limits():
	case !l.Depth.Known():
		l.Depth = was.Depth
	case l.Minutes <= 0:
		l.Minutes = was.Minutes
	}
	return l
}

// LimitSet is what leaders set for a person on a dive or (0) on every dive, and
// nothing else; TeamLimitSet is the same of a team.
func (t *Trip) LimitSet(p PersonID, dive int) Limit {
	person := t.Person(p)
	if person == nil {
		return Limit{Dive: dive}
	}
	return limitFor(person.Limits, "", dive)
}

// TeamLimitSet is what leaders set for a team; see LimitSet.
func (t *Trip) TeamLimitSet(team string, dive int) Limit { return limitFor(t.Teams, team, dive) }

// same tells whether two limits allow the same.
func (l Limit) same(was Limit) bool { return l.Depth == was.Depth && l.Minutes == was.Minutes }

// holds tells whether somebody of the team holds an older limit that this one,
// said by another leader, takes the place of.
func (t *Trip) holds(said Limit) bool {
	return slices.ContainsFunc(t.People, func(p *Person) bool { return p.ID != said.By && p.holds(said) })
}

func (p *Person) holds(said Limit) bool {
	return p.of(said.Team) && slices.ContainsFunc(p.Held, func(h Limit) bool { return !h.same(h.after(said)) })
}

// heldBeside are held limits without what was said anew.
func heldBeside(held []Limit, said Limit) []Limit {
	var left []Limit
	for _, h := range held {
		if h = h.after(said); h.limits() {
			left = append(left, h)
		}
	}
	return left
}

// after is what is left of a held limit once a leader said another for its team
// and dive: the half that was not said, nothing when both were lifted.
func (l Limit) after(said Limit) Limit {
	if l.Team != said.Team || l.Dive != said.Dive {
		return l
	}
	if said.Depth.Known() || !said.limits() {
		l.Depth = gas.Depth{}
	}
	if said.Minutes > 0 || !said.limits() {
		l.Minutes = 0
	}
	return l
}

// limits tells whether it limits anything.
func (l Limit) limits() bool { return l.Depth.Known() || l.Minutes > 0 }

// looser tells whether a limit allows more than another did.
func (l Limit) looser(was Limit) bool {
	depth := was.Depth.Known() && (!l.Depth.Known() || l.Depth.DeeperThan(was.Depth))
	return depth || (was.Minutes > 0 && (l.Minutes <= 0 || l.Minutes > was.Minutes))
}

func limitFor(limits []Limit, team string, dive int) Limit {
	for _, l := range limits {
		if l.Team == team && l.Dive == dive {
			return l
		}
	}
	return Limit{Team: team, Dive: dive}
}

// withLimit are limits with l in the place of the one for its team and dive.
func withLimit(limits []Limit, l Limit) []Limit {
	limits = slices.DeleteFunc(limits, func(o Limit) bool { return o.Team == l.Team && o.Dive == l.Dive })
	if !l.limits() {
		return limits
	}
	return append(limits, l)
}

func (l Limit) detail(was Limit) []string {
	dive := ""
	if l.Dive > 0 {
		dive = strconv.Itoa(l.Dive)
	}
	return []string{"dive", dive, "was", depthText(was.Depth), "now", depthText(l.Depth),
		"was_minutes", number(was.Minutes), "minutes", number(l.Minutes)}
}

// SetDepthLimit changes the depth of a person's qualification, as leader, crew or
// shop other than them saw it. A diver's own word counts when it is shallower or
// the first; a sole leader's when a named witness saw it.
func (d *Draft) SetDepthLimit(p PersonID, depth gas.Depth, by, witness PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil {
		return false
	}
	was := person.DepthLimit
	stricter := depth.Known() && (!was.Known() || !depth.DeeperThan(was))
	if !d.maySee(p, by, witness) && !(by == p && stricter) {
		return false
	}
	if was != depth {
		d.Edit(p).DepthLimit = depth
		d.act(now, by, VerbLimit, string(p), "", "qualification_was", depthText(was), "qualification", depthText(depth),
			"witness", string(witness))
	}
	return true
}

// maySee tells whether somebody's word on a card or qualification counts.
func (d *Draft) maySee(p, by, witness PersonID) bool {
	return d.staffOther(by, p) || (by == p && d.sole(p) && d.watches(witness, p))
}

// CardSeen records that somebody saw the person's enriched-air card.
func (d *Draft) CardSeen(p PersonID, by PersonID, now time.Time) bool {
	return d.SetCard(p, gas.CardSeen, by, "", now)
}

// SetCard records what is known of a person's enriched-air qualification: as
// leader, crew or shop other than them saw it; a sole leader's when a named witness
// saw it. That there is none counts also by the diver's own word.
func (d *Draft) SetCard(p PersonID, card gas.Card, by, witness PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil || (!d.maySee(p, by, witness) && !(by == p && card == gas.CardNone)) {
		return false
	}
	if was := person.Card; was != card {
		d.Edit(p).Card = card
		d.act(now, by, VerbCard, string(p), "", "was", string(was), "now", string(card), "witness", string(witness))
	}
	return true
}
