package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// leads tells whether somebody leads the trip, and has not left it.
func (t *Trip) leads(id PersonID) bool {
	p := t.Person(id)
	return p != nil && p.Leader && p.Left.IsZero()
}

// staff tells whether somebody is leader or crew and has not left: who may watch
// and record.
func (t *Trip) staff(id PersonID) bool {
	p := t.Person(id)
	return p != nil && (p.Leader || p.Crew) && p.Left.IsZero()
}

// leadsOther tells whether by is a leader other than p: nobody's act as leader
// improves their own clearance.
func (t *Trip) leadsOther(by, p PersonID) bool { return by != p && t.leads(by) }

// staffOther tells whether by is the shop, or leader or crew other than p.
func (t *Trip) staffOther(by, p PersonID) bool { return by == "" || (by != p && t.staff(by)) }

// sole tells whether p is the only leader.
func (t *Trip) sole(p PersonID) bool {
	return t.leads(p) && !slices.ContainsFunc(t.People, func(o *Person) bool { return o.ID != p && t.leads(o.ID) })
}

// watches tells whether w can watch what p does.
func (t *Trip) watches(w, p PersonID) bool {
	who := t.Person(w)
	return who != nil && w != p && who.Left.IsZero()
}

// Dives tells whether a person dives: booked as diver, or ever had a cylinder.
// Nobody drops off a board by an omission.
func (p *Person) Dives() bool { return p.Diver || len(p.Cylinders) > 0 }

// on are a person's cylinders in use for dive n.
func (p *Person) on(n int) []*Cylinder {
	var on []*Cylinder
	for _, c := range p.Cylinders {
		if c.stands(n) {
			on = append(on, c)
		}
	}
	return on
}

// claiming are the cylinders that a person has on dive n until a leader says
// otherwise: in use, or moved away or retired without a leader's word.
func (p *Person) claiming(n int) []*Cylinder {
	var all []*Cylinder
	for _, c := range p.Cylinders {
		if c.stands(n) || c.leftBehind(n) {
			all = append(all, c)
		}
	}
	return all
}

// stands tells whether the cylinder is in use for dive n.
func (c *Cylinder) stands(n int) bool { return c.Retired.IsZero() && c.Dive == n }

// OutOf is why a person sits dive n out, nil when they don't.
func (p *Person) OutOf(n int) *Out { return of(p.Outs, n) }

// OutsideOf is why this check does not cover a person on dive n, nil when it does.
func (p *Person) OutsideOf(n int) *Out { return of(p.Outsides, n) }

func of(outs []Out, n int) *Out {
	for i := range outs {
		if outs[i].Dive == 0 || outs[i].Dive == n {
			return &outs[i]
		}
	}
	return nil
}

// LimitOn is the tightest that leaders set for a person on dive n.
func (p *Person) LimitOn(n int) gas.Limit { return tightestOf(p.Limits, n, nil) }

// TeamLimitOn is the tightest that leaders set for a person's team on dive n, or
// for one that the person left without a leader's word.
func (t *Trip) TeamLimitOn(p *Person, n int) gas.Limit {
	l := tightestOf(p.Held, n, nil)
	return l.Tighter(tightestOf(t.Teams, n, func(l *Limit) bool { return p.of(l.Team) }))
}

// of tells whether a team's limits hold for a person: of the team, or taken out of it
// without a leader.
func (p *Person) of(team string) bool {
	return team != "" && (p.Team == team || slices.Contains(p.Former, team))
}

func tightestOf(limits []Limit, n int, which func(*Limit) bool) gas.Limit {
	var tightest gas.Limit
	for i := range limits {
		if l := &limits[i]; (l.Dive == 0 || l.Dive == n) && (which == nil || which(l)) {
			tightest = tightest.Tighter(gas.Limit{Depth: l.Depth, Minutes: l.Minutes})
		}
	}
	return tightest
}

// ToldOf is what a person was last told of dive n, the zero value when nothing.
func (p *Person) ToldOf(n int) Told {
	for _, t := range p.Told {
		if t.Dive == n {
			return t
		}
	}
	return Told{}
}

// Tell keeps what a person was told of a dive.
func (d *Draft) Tell(id PersonID, told Told) {
	p := d.Person(id)
	if p == nil || p.ToldOf(told.Dive) == told {
		return
	}
	p = d.touch(id)
	p.Told = append(slices.DeleteFunc(slices.Clone(p.Told), func(t Told) bool { return t.Dive == told.Dive }), told)
}
