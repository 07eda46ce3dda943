package sim

import (
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// Who speaks. A day is sensible when mostly those speak who may.

// anybody is a person of the trip, or rarely the shop.
func (d *director) anybody() roster.PersonID {
	if d.chance(10) {
		return judge.Shop
	}
	return pick(d.Rand, d.people...).ID
}

// mostly is who may say it, and one time in twelve somebody else.
func (d *director) mostly(may ...roster.PersonID) roster.PersonID {
	if len(may) == 0 || d.IntN(12) == 0 {
		return d.anybody()
	}
	return pick(d.Rand, may...)
}

func (d *director) those(who func(*someone) bool) []roster.PersonID {
	var list []roster.PersonID
	for _, p := range d.people {
		if !p.left && who(p) {
			list = append(list, p.ID)
		}
	}
	return list
}

func (d *director) leaders() []roster.PersonID {
	return d.those(func(p *someone) bool { return p.Leader })
}

func (d *director) crew() []roster.PersonID {
	return d.those(func(p *someone) bool { return p.Leader || p.Crew })
}

// crewFor are leaders and crew other than a person, or the person where there is nobody else.
func (d *director) crewFor(who roster.PersonID) []roster.PersonID {
	return d.those(func(p *someone) bool { return (p.Leader || p.Crew) && p.ID != who })
}

func (d *director) leadersFor(who roster.PersonID) []roster.PersonID {
	return d.those(func(p *someone) bool { return p.Leader && p.ID != who })
}

// anyOf is a person that something is about: mostly one who dives.
func (d *director) anyOf() *someone { return pick(d.Rand, d.people...) }

// used is a place in use, nil when there is none.
func (d *director) used() *spot {
	var list []*spot
	for _, q := range d.spots {
		if q.Dive != 0 {
			list = append(list, q)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return pick(d.Rand, list...)
}

// dive is the number of a dive of the trip; mostly the next one.
func (d *director) dive() int {
	if d.chance(70) {
		return d.nextDive()
	}
	return 1 + d.IntN(len(d.booked.Dives))
}

// nextDive is the first that was not dived, else the last.
func (d *director) nextDive() int {
	for _, v := range d.see.Dives {
		if !v.Dived {
			return v.Dive
		}
	}
	return len(d.booked.Dives)
}

// any is a dive of the trip, or 0 for all of them.
func (d *director) diveOrAll() int {
	if d.chance(35) {
		return 0
	}
	return d.dive()
}
