package sim

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

func (p *product) card(d *roster.Draft, s judge.Said) {
	d.SetCard(p.people.product[s.Person], gas.Card(s.Card), p.by(s.By), p.people.product[s.Witness], s.At)
}

func (p *product) qualifies(d *roster.Draft, s judge.Said) {
	d.SetDepthLimit(p.people.product[s.Person], s.Depth, p.by(s.By), p.people.product[s.Witness], s.At)
}

func (p *product) limits(d *roster.Draft, s judge.Said) {
	limit := roster.Limit{Team: s.Team, Dive: s.Dive, Depth: p.depth(s.Limit.Depth), Minutes: s.Limit.Minutes,
		By: p.by(s.By), At: s.At}
	if s.Person == "" {
		d.SetTeamLimit(limit, s.At)
		return
	}
	d.SetLimit(p.people.product[s.Person], limit, s.At)
}

func (p *product) team(d *roster.Draft, s judge.Said) {
	d.SetTeam(p.people.product[s.Person], s.Team, p.by(s.By), s.At)
}

func (p *product) out(d *roster.Draft, s judge.Said) {
	d.SitOut(p.people.product[s.Person], s.Dive, p.by(s.By), "other", s.At)
}

func (p *product) back(d *roster.Draft, s judge.Said) {
	d.BackIn(p.people.product[s.Person], s.Dive, p.by(s.By), "", s.At)
}

func (p *product) outside(d *roster.Draft, s judge.Said) {
	d.SetOutside(p.people.product[s.Person], s.Dive, p.by(s.By), "rebreather", s.At)
}

func (p *product) outsideBack(d *roster.Draft, s judge.Said) {
	d.EndOutside(p.people.product[s.Person], s.Dive, p.by(s.By), s.At)
}

func (p *product) helium(d *roster.Draft, s judge.Said) {
	d.MustSpeak(p.people.product[s.Person], roster.Speak{At: s.At, Was: "trimix"})
}

func (p *product) heliumSlip(d *roster.Draft, s judge.Said) {
	d.Settled(p.people.product[s.Person], p.by(s.By), s.At)
}

func (p *product) leaves(d *roster.Draft, s judge.Said) {
	d.Leave(p.people.product[s.Person], p.by(s.By), "", s.At)
}

func (p *product) forgets(d *roster.Draft, s judge.Said) { d.Erase(p.people.product[s.Person], s.At) }

func (p *product) broughtBack(d *roster.Draft, s judge.Said) {
	d.BringBack(p.people.product[s.Person], p.by(s.By), s.At)
}

func (p *product) handsOver(d *roster.Draft, s judge.Said) {
	d.HandOver(p.people.product[s.Person], p.by(s.By), s.At)
}

func (p *product) takesOver(d *roster.Draft, s judge.Said) {
	d.TakeOver(p.people.product[s.Person], p.people.product[s.Witness], s.At)
}

func (p *product) role(d *roster.Draft, s judge.Said) {
	d.SetRole(p.people.product[s.Person], s.Leader, s.Crew, p.by(s.By), s.At)
}

func (p *product) callsOff(d *roster.Draft, s judge.Said) { d.CallOff(p.by(s.By), "wind", s.At) }

func (p *product) putsOn(d *roster.Draft, s judge.Said) { d.PutOn(p.by(s.By), s.At) }

func (p *product) dived24(d *roster.Draft, s judge.Said) {
	answer := "no"
	if s.Yes {
		answer = "yes"
	}
	d.SetDivedBefore(p.people.product[s.Person], answer, s.At)
}

func (p *product) newPlan(d *roster.Draft, s judge.Said) {
	d.SetDive(s.Dive, p.plan(s.Plan), p.by(s.By), "", s.At)
}

func (p *product) newStart(d *roster.Draft, s judge.Said) {
	d.SetStart(s.Departs, s.FirstDiveAfter, p.by(s.By), s.At)
}

func (p *product) newPolicy(d *roster.Draft, s judge.Said) {
	d.SetPolicy(p.policy(s.Policy), p.by(s.By), s.At)
}

func (p *product) consents(d *roster.Draft, s judge.Said) { d.Consent(p.by(s.By), s.At) }

func (p *product) dived(d *roster.Draft, s judge.Said) {
	d.SetDived(s.Dive, p.values(s, p.people.product[s.Person]), s.At)
}

func (p *product) divedMyself(d *roster.Draft, s judge.Said) {
	d.SetDived(s.Dive, p.values(s, p.by(s.By)), s.At)
}

func (p *product) values(s judge.Said, who roster.PersonID) roster.Dived {
	return roster.Dived{Person: who, Depth: p.depth(s.Dived.Depth), Minutes: s.Dived.Minutes, By: p.by(s.By), At: s.At}
}

func (p *product) divedBack(d *roster.Draft, s judge.Said) {
	d.TakeBackDived(s.Dive, p.by(s.By), s.At)
}

func (p *product) notDived(d *roster.Draft, s judge.Said) { d.SetNotDived(s.Dive, p.by(s.By), s.At) }

func (p *product) signs(d *roster.Draft, s judge.Said) {
	if _, ok := d.SignOff(s.Dive, p.by(s.By), s.At); !ok {
		return
	}
	if last := d.Signature(s.Dive); last != nil {
		p.signatures[last.ID] = s.Signature
	}
}

func (p *product) unsigns(d *roster.Draft, s judge.Said) {
	d.Withdraw(s.Dive, p.by(s.By), "", s.At)
}
