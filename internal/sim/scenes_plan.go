package sim

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

var planScenes = []weighted{
	{6, (*director).newPlan}, {3, (*director).newStart}, {3, (*director).newPolicy}, {2, (*director).consents},
}

// newPlan changes one or two things of a dive's plan.
func (d *director) newPlan() []judge.Said {
	s := d.say(judge.SaidPlan, d.mostly(append(d.leaders(), judge.Shop)...))
	s.Dive = d.dive()
	s.Plan = d.booked.Dives[s.Dive-1]
	for range 1 + d.IntN(2) {
		d.change(&s.Plan, s.Dive)
	}
	if d.impossible(s.Plan) {
		return nil
	}
	return d.orAgreed(s)
}

// impossible is a plan that is refused before it is anything that was said.
func (d *director) impossible(p judge.Dive) bool {
	return p.Depth > d.booked.Policy.Deepest || p.Bottom > 0 && p.Bottom < p.Depth
}

func (d *director) change(p *judge.Dive, number int) {
	switch d.IntN(9) {
	case 8:
		p.Altitude = pick(d.Rand, 0.0, 300, 1200)
	case 7:
		p.Site = pick(d.Rand, fmt.Sprint("site ", d.IntN(100)), strings.ToUpper(p.Site))
	case 0, 1:
		p.Depth = math.Max(8, p.Depth+pick(d.Rand, -6.0, -3, -2, 2, 3, 6))
	case 2:
		p.Minutes = math.Max(8, p.Minutes+pick(d.Rand, -8.0, -5, -2, 5, 10))
	case 3:
		if number > 1 {
			p.Interval = math.Max(30, p.Interval+pick(d.Rand, -15.0, 15, 30))
		}
	case 4:
		p.Bottom, p.Bottomless = p.Depth+pick(d.Rand, 0.0, 3, 8), false
	case 5:
		p.Bottom, p.Bottomless = 0, d.chance(40)
	case 6:
		p.Water = gas.Water(d.IntN(2)) // #nosec G115 -- 0 or 1
	}
}

// newStart moves the day: a little, just an hour, a little more, or back.
func (d *director) newStart() []judge.Said {
	s := d.say(judge.SaidStart, d.mostly(append(d.leaders(), judge.Shop)...))
	by := pick(d.Rand, 10, 30, 59, 60, 61, 90, -15, -45, 150)
	s.Departs, s.FirstDiveAfter = d.booked.Departs.Add(time.Duration(by)*time.Minute), d.booked.FirstDiveAfter
	if d.chance(25) {
		s.Departs, s.FirstDiveAfter = d.booked.Departs, pick(d.Rand, 0.0, 30, 60, 90)
	}
	if d.chance(10) {
		s.Departs = s.Departs.Add(time.Second)
	}
	return d.orAgreed(s)
}

func (d *director) newPolicy() []judge.Said {
	s := d.say(judge.SaidPolicy, d.mostly(judge.Shop))
	s.Policy = policy(d.Rand, d.booked.Units)
	return d.orAgreed(s)
}

// orAgreed is a change of the shop, sometimes with a leader's consent in the same breath.
func (d *director) orAgreed(s judge.Said) []judge.Said {
	if s.By != judge.Shop || !d.chance(25) {
		return one(s)
	}
	consent := d.say(judge.SaidConsent, d.mostly(d.leaders()...))
	d.changes++
	s.Change, consent.Change = d.changes, d.changes
	return []judge.Said{s, consent}
}

func (d *director) consents() []judge.Said {
	return one(d.say(judge.SaidConsent, d.mostly(d.leaders()...)))
}

var diveScenes = []weighted{
	{3, (*director).dives}, {1, (*director).divedBack}, {1, (*director).notDived}, {2, (*director).divedMyself},
	{5, (*director).signs},
	{2, (*director).unsigns}, {4, (*director).waits}, {2, (*director).lapses},
}

// lapses waits until a signature that stands is three hours old, and nobody said whether its dive was dived.
func (d *director) lapses() []judge.Said {
	n := d.nextDive()
	if !d.stands(n) {
		return nil
	}
	from := d.starts(n)
	if d.now.After(from) {
		from = d.now
	}
	d.now = from.Add(3*time.Hour + seconds(d.IntN(3)-1))
	return d.waits()
}

// dived is what a dive was: as planned, or other values.
func (d *director) dived(number int) judge.Dived {
	plan := d.booked.Dives[number-1]
	var v judge.Dived
	if d.chance(40) {
		v.Depth = math.Max(5, plan.Depth+pick(d.Rand, -6.0, -2, 0, 2, 5))
	}
	if d.chance(40) {
		v.Minutes = math.Max(5, plan.Minutes+pick(d.Rand, -10.0, -3, 0, 4, 15))
	}
	return v
}

// dives is a leader's word that a dive was dived; mostly after it, and often once more with other values.
func (d *director) dives() []judge.Said {
	s := d.say(judge.SaidDived, d.mostly(d.leaders()...))
	s.Dive = d.dive()
	if d.now.Before(d.starts(s.Dive)) && d.chance(85) {
		return nil
	}
	s.Dived = d.dived(s.Dive)
	if d.chance(35) {
		s.Person = d.anyOf().ID
	}
	return one(s)
}

func (d *director) divedBack() []judge.Said {
	s := d.say(judge.SaidDivedBack, d.mostly(d.leaders()...))
	s.Dive = 1 + d.IntN(len(d.booked.Dives))
	return one(s)
}

func (d *director) notDived() []judge.Said {
	s := d.say(judge.SaidNotDived, d.mostly(d.leaders()...))
	s.Dive = 1 + d.IntN(len(d.booked.Dives))
	return one(s)
}

func (d *director) divedMyself() []judge.Said {
	p := d.anyOf()
	if p.Leader {
		return nil // a leader's word makes it dived
	}
	s := d.say(judge.SaidDivedMyself, p.ID)
	s.Dive = 1 + d.IntN(len(d.booked.Dives))
	s.Dived = d.dived(s.Dive)
	if s.Dived == (judge.Dived{}) {
		return nil
	}
	return one(s)
}

func (d *director) signs() []judge.Said { return d.signsBy(d.mostly(d.leaders()...)) }

func (d *director) signsBy(by roster.PersonID) []judge.Said {
	s := d.say(judge.SaidSign, by)
	d.signed++
	s.Dive, s.Signature = d.dive(), signature(d.signed)
	return one(s)
}

// signature is the name of a signature, by its number.
func signature(n int) string { return fmt.Sprint("s", n) }

func (d *director) unsigns() []judge.Said {
	s := d.say(judge.SaidUnsigned, d.mostly(d.leaders()...))
	s.Dive = d.dive()
	return one(s)
}

// waits says nothing: only the clock goes on.
func (d *director) waits() []judge.Said { return one(d.say(waited, "")) }

// waited is the kind of nothing that was said.
const waited judge.Kind = "waited"
