package sim

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// The open invite and the trip as a whole, told to the product.

// newcomer is somebody who waits at the open invite, with the id that the product gave them.
type newcomer struct {
	id string
	judge.Person
}

// byNewcomer are the kinds of which somebody who is not on the trip yet is a part.
var byNewcomer = map[judge.Kind]bool{judge.SaidWaits: true, judge.SaidLetIn: true, judge.SaidSentAway: true}

// knowsNewcomer is knows of what is said by and of somebody who is not on the trip.
func (p *product) knowsNewcomer(s judge.Said) bool {
	if s.Kind == judge.SaidWaits {
		return p.people.product[s.NewPerson.ID] == ""
	}
	_, known := p.newcomers[s.Person]
	return known && p.people.product[s.Person] == "" && (s.By == judge.Shop || p.people.product[s.By] != "")
}

func (p *product) invites(d *roster.Draft, s judge.Said) {
	if s.Yes {
		d.OpenGate(p.by(s.By), s.At)
		return
	}
	d.ShutGate(p.by(s.By), s.At)
}

// address is where somebody of a day is written to.
func address(who roster.PersonID) roster.Address {
	return roster.Address{Channel: "sim", ID: string(who)}
}

func (p *product) knocks(d *roster.Draft, s judge.Said) {
	who := s.NewPerson
	n := asNewcomer(who, len(d.Dives))
	n.Address, n.From = address("new "+who.ID), string(who.ID)
	id, err := d.Knock(n, s.At)
	if _, known := p.newcomers[who.ID]; err == nil || !known {
		p.newcomers[who.ID] = newcomer{id, who}
	}
}

// asNewcomer is what somebody says of themself at the open invite.
func asNewcomer(who judge.Person, dives int) roster.Newcomer {
	n := roster.Newcomer{Name: nameOf(who.ID), Card: gas.Card(who.Card), DepthLimit: who.Qualification,
		Asked: make([]gas.Percent, dives)}
	for i, c := range who.Cylinders {
		if c.Dive <= len(n.Asked) {
			n.Asked[c.Dive-1] = gas.Percent(c.Asked)
		}
		if i == 0 {
			n.Label = c.Label
		}
	}
	return n
}

// walksIn is somebody whom the shop adds, or leader and crew, who answer for them what is asked at the open invite.
func (p *product) walksIn(d *roster.Draft, s judge.Said) {
	who := s.NewPerson
	if s.By == judge.Shop || who.Card == judge.CardUnseen || !saysAsNewcomer(who) {
		p.add(d, who, p.by(s.By), s.At)
		return
	}
	n := asNewcomer(who, len(d.Dives))
	if who.Card == judge.CardSeen {
		n.Card = gas.CardUnseen // they have one, and who adds them saw it
	}
	if in := d.AddWalkIn(n, p.by(s.By), s.At); in != nil {
		p.cameIn(in, newcomer{Person: who})
	}
}

// saysAsNewcomer tells whether all that is known of somebody is what is asked at the open invite.
func saysAsNewcomer(who judge.Person) bool {
	for i, c := range who.Cylinders {
		if i > 0 && (c.Label != "" || c.Dive <= who.Cylinders[i-1].Dive) {
			return false
		}
	}
	return who.Team == "" && who.Outside == "" && who.Diver == (len(who.Cylinders) > 0)
}

func (p *product) letsIn(d *roster.Draft, s judge.Said) {
	n := p.newcomers[s.Person]
	if in := d.LetIn(n.id, s.Card == judge.CardSeen, p.by(s.By), s.At); in != nil {
		p.cameIn(in, n)
	}
}

// cameIn keeps the ids of who was let in.
func (p *product) cameIn(in *roster.Person, n newcomer) {
	p.people.keep(n.ID, in.ID)
	for i, c := range in.Cylinders {
		p.cylinders.keep(n.Cylinders[i].ID, c.ID)
	}
}

func (p *product) sendsAway(d *roster.Draft, s judge.Said) {
	d.Refuse(p.newcomers[s.Person].id, p.by(s.By), s.At)
}

func (p *product) drops(d *roster.Draft, s judge.Said) {
	if s.Dive == len(d.Dives) {
		d.DropDive(p.by(s.By), "wind", s.At)
	}
}
