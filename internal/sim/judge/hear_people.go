package judge

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// "A card or qualification seen by leader, crew or shop." Who has one may only say less of it.
func (d *Day) hearCard(s Said) {
	p := d.person(s.Person)
	if p == nil {
		return
	}
	if d.crewOrShopFor(s.By, p) || d.soleLeadersWitness(s, p) || s.Card == CardNone && s.By == p.ID {
		p.Card = s.Card
	}
}

func (d *Day) hearQualification(s Said) {
	p := d.person(s.Person)
	if p == nil {
		return
	}
	shallower := s.Depth.Known() && (!p.Qualification.Known() || p.Qualification.DeeperThan(s.Depth))
	if d.crewOrShopFor(s.By, p) || d.soleLeadersWitness(s, p) || shallower && s.By == p.ID {
		p.Qualification = s.Depth
	}
}

// "A leader's limit is a depth, minutes or both, for the dive unless said for all." For
// themself a leader may only be shallower and shorter.
func (d *Day) hearLimit(s Said) {
	if !d.leader(s.By) {
		return
	}
	key := limitKey{s.Person, s.Team, s.Dive}
	was := d.limits[key]
	limit := s.Limit.beside(was)
	if s.Person == s.By {
		limit = was.tighter(limit)
	}
	if s.Person == "" {
		d.stickTo(s, key, was)
	}
	d.limits[key] = limit
}

// beside is a limit with what it says nothing of as it was: only one that says nothing at all lifts.
func (l Limit) beside(was Limit) Limit {
	if l.Depth == 0 && l.Minutes > 0 {
		l.Depth = was.Depth
	}
	if l.Minutes == 0 && l.Depth > 0 {
		l.Minutes = was.Minutes
	}
	return l
}

// stickTo keeps a team's limit for the leader of that team who loosens it, until another leader
// says one.
func (d *Day) stickTo(s Said, key limitKey, was Limit) {
	for _, p := range d.people {
		switch {
		case p.ID != s.By:
			for i := range p.stuck {
				if p.stuck[i].key == key {
					p.stuck[i].limit = p.stuck[i].limit.unsaid(s.Limit)
				}
			}
		case slices.Contains(p.teams, key.team):
			p.stuck = append(p.stuck, stuckLimit{key, was})
		}
	}
}

// unsaid is what a limit holds on to when another is said: the half that the other says nothing of.
func (l Limit) unsaid(said Limit) Limit {
	if said.Depth == 0 && said.Minutes > 0 {
		return Limit{Depth: l.Depth}
	}
	if said.Minutes == 0 && said.Depth > 0 {
		return Limit{Minutes: l.Minutes}
	}
	return Limit{}
}

// tighter is the shallower and shorter of two limits.
func (l Limit) tighter(o Limit) Limit {
	return Limit{tighter(l.Depth, o.Depth), tighter(l.Minutes, o.Minutes)}
}

func tighter(a, b float64) float64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

// limitsOf are a leader's limits for a diver on a dive: their own, and those of their teams.
func (d *Day) limitsOf(p *person, dive int) (own, team Limit) {
	for _, n := range []int{0, dive} {
		own = own.tighter(d.limits[limitKey{person: p.ID, dive: n}])
		for _, t := range p.teams {
			if t != "" {
				team = team.tighter(d.limits[limitKey{team: t, dive: n}])
			}
		}
		for _, k := range p.stuck {
			if k.key.dive == n {
				team = team.tighter(k.limit)
			}
		}
	}
	return own, team
}

// "A team's limit stays with who was in the team until a leader moves them." Naming the team that they are in is no
// move.
func (d *Day) hearTeam(s Said) {
	p := d.person(s.Person)
	switch {
	case p == nil, p.team() == s.Team:
	case d.leaderFor(s.By, p):
		p.teams, p.stuck = []string{s.Team}, nil
	case s.By == Shop || d.leader(s.By):
		p.teams = append(slices.DeleteFunc(p.teams, func(t string) bool { return t == s.Team }), s.Team)
	}
}

// "Out: set by a leader for a dive or the trip; back by a leader." "Nobody's act as leader improves their own
// clearance": what another leader said they don't take back.
func (d *Day) hearOut(s Said) {
	p := d.person(s.Person)
	switch {
	case p == nil || !d.leader(s.By):
	case s.Kind == SaidOut:
		p.sitsOut(s)
	default:
		p.comesBack(s)
	}
}

// sitsOut keeps since when somebody sits out without having been brought back, and whether somebody else said so.
func (p *person) sitsOut(s Said) {
	if !p.outs[s.Dive] {
		p.outSince[s.Dive] = s.At
	}
	p.outs[s.Dive] = true
	p.outByOther[s.Dive] = p.outByOther[s.Dive] || s.By != p.ID
}

func (p *person) comesBack(s Said) {
	for n := range p.outs {
		if (s.Dive == 0 || s.Dive == n) && (s.By != p.ID || !p.outByOther[n]) {
			delete(p.outs, n)
			delete(p.outSince, n)
			delete(p.outByOther, n)
		}
	}
}

// satOut tells whether somebody sat a dive out at a moment, of those who sit it out.
func satOut(since map[int]time.Time, dive int, at time.Time) bool {
	for _, n := range []int{0, dive} {
		if from, out := since[n]; out && !from.After(at) {
			return true
		}
	}
	return false
}

// "Outside: set by shop or a leader, never for themself."
func (d *Day) hearOutside(s Said) {
	if p := d.person(s.Person); p != nil && (s.By == Shop || d.leaderFor(s.By, p)) {
		set(p.outsides, s.Dive, s.Kind == SaidOutside)
	}
}

// set puts a mark for a dive or the trip; taking back that of the trip takes all.
func set(marks map[int]bool, dive int, on bool) {
	if dive == 0 {
		clear(marks)
	}
	marks[dive] = on
}

// "A diver who names helium or a closed circuit is not cleared until then, or until a leader says
// that it was a slip."
func (d *Day) hearHelium(s Said) {
	p := d.person(s.Person)
	switch {
	case p == nil:
	case s.Kind == SaidHelium:
		p.helium = true
	case d.leaderFor(s.By, p):
		p.helium = false
	}
}

func (d *Day) hearPerson(s Said) {
	if d.person(s.NewPerson.ID) == nil && (s.By == Shop || d.crew(s.By)) {
		d.arrives(s.NewPerson, s)
	}
}

func (d *Day) arrives(p Person, s Said) {
	d.add(p)
	for _, c := range p.Cylinders {
		q := d.place(c.ID)
		q.added, q.came, q.since = s.At, mark{s.At, d.count}, mark{s.At, d.count} // as a cylinder that is added
	}
}

// "Who left, forgot or was removed before sign-off is not cleared (LEFT)."
func (d *Day) hearLeft(s Said) {
	p := d.person(s.Person)
	if p != nil && (s.By == p.ID || s.By == Shop || d.leader(s.By)) {
		p.left = true
		p.forgot = p.forgot || s.Kind == SaidForgot
	}
}

// Who was forgotten is nobody any more who could be brought back.
func (d *Day) hearBroughtBack(s Said) {
	if p := d.person(s.Person); p != nil && d.leaderFor(s.By, p) && !p.forgot {
		p.left = false
	}
}

// "A leader hands over to another."
func (d *Day) hearHandOver(s Said) {
	if p := d.person(s.Person); p != nil && !p.left && d.leaderFor(s.By, p) {
		p.Leader = true
		d.person(s.By).Leader = false
	}
}

// "With the leader gone, crew or failing that any diver takes over, confirmed by a second person."
func (d *Day) hearTakeOver(s Said) {
	if p := d.person(s.Person); p != nil && !p.left && d.otherPerson(s.Witness, p) {
		p.Leader = true
	}
}

// "Leaders make crew and leaders, take it back: a trip is never without one." Not of who has left.
func (d *Day) hearRole(s Said) {
	p := d.person(s.Person)
	switch {
	case p == nil:
	case s.By == Shop:
		p.Leader, p.Crew = s.Leader, s.Crew
	case d.leaderFor(s.By, p) && !p.left && (!s.Leader || p.Leader || d.leaders() < mostLeaders):
		p.Leader, p.Crew = s.Leader, s.Crew
	}
}

// mostLeaders is how many leaders a trip has at most: "1 to 4 leaders".
const mostLeaders = 4

func (d *Day) leaders() int {
	n := 0
	for _, p := range d.people {
		if p.Leader {
			n++
		}
	}
	return n
}

// "A yes stays."
func (d *Day) hearLast24(s Said) {
	if p := d.person(s.Person); p != nil {
		p.last24 = p.last24 || s.Yes
	}
}

// qualification is what somebody may dive to, in the trip's unit; 0 when not known. "By name the
// trade takes 12 m = 40 ft, 18 = 60, 21 = 70, 30 = 100, 40 = 130 as equal (common practice, no
// source)."
func (d *Day) qualification(p *person) float64 {
	q := p.Qualification
	if !q.Known() {
		return 0
	}
	for _, same := range [][2]float64{{12, 40}, {18, 60}, {21, 70}, {30, 100}, {40, 130}} {
		switch {
		case d.units == gas.Feet && q == gas.M(same[0]):
			return same[1]
		case d.units == gas.Metres && q == gas.Ft(same[1]):
			return same[0]
		}
	}
	return q.LimitIn(d.units).Value
}
