package sim

import (
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

var peopleScenes = []weighted{
	{3, (*director).cards}, {3, (*director).qualifies}, {4, (*director).limits}, {2, (*director).teamLimits},
	{2, (*director).teams},
	{3, (*director).sitsOut}, {2, (*director).comesBack}, {2, (*director).goesOutside}, {1, (*director).insideAgain},
	{2, (*director).namesHelium}, {1, (*director).wasSlip}, {2, (*director).dived24},
}

// of begins something about a person.
func (d *director) of(kind judge.Kind, by roster.PersonID, p *someone) judge.Said {
	s := d.say(kind, by)
	s.Person = p.ID
	return s
}

// sees is who may see a card: leader, crew, shop, or rarely themself.
func (d *director) sees(p *someone) roster.PersonID {
	return d.mostly(append(d.crewFor(p.ID), judge.Shop, p.ID)...)
}

func (d *director) cards() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidCard, d.sees(p), p)
	s.Card = pick(d.Rand, judge.CardSeen, judge.CardSeen, judge.CardUnseen, judge.CardNone)
	if s.By == p.ID && d.chance(60) {
		s.Witness = d.anyOf().ID
	}
	return one(s)
}

func (d *director) qualifies() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidQualification, d.sees(p), p)
	s.Depth = qualification(d.Rand, d.booked.Units)
	if s.By == p.ID && d.chance(60) {
		s.Witness = d.anyOf().ID
	}
	return one(s)
}

// limit is a depth, minutes or both, around the plan; or it is taken back.
func (d *director) limit() judge.Limit {
	plan := d.booked.Dives[d.nextDive()-1]
	l := judge.Limit{Depth: plan.Depth + pick(d.Rand, -6.0, -3, -1, 0, 4),
		Minutes: plan.Minutes + pick(d.Rand, -8.0, -5, 0, 10)}
	switch d.IntN(8) {
	case 0, 1:
		l.Minutes = 0
	case 2, 3:
		l.Depth = 0
	case 4, 5:
		return judge.Limit{}
	}
	return l
}

func (d *director) limits() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidLimit, d.mostly(d.leaders()...), p)
	s.Dive, s.Limit = d.diveOrAll(), d.limit()
	return one(s)
}

func (d *director) teamLimits() []judge.Said {
	s := d.say(judge.SaidLimit, d.mostly(d.leaders()...))
	s.Team, s.Dive, s.Limit = pick(d.Rand, "1", "1", "2"), d.diveOrAll(), d.limit()
	return one(s)
}

func (d *director) teams() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidTeam, d.mostly(append(d.leaders(), judge.Shop)...), p)
	s.Team = pick(d.Rand, "", "1", "2")
	return one(s)
}

func (d *director) sitsOut() []judge.Said {
	s := d.of(judge.SaidOut, d.mostly(d.leaders()...), d.anyOf())
	s.Dive = d.diveOrAll()
	return one(s)
}

func (d *director) comesBack() []judge.Said {
	s := d.of(judge.SaidBack, d.mostly(d.leaders()...), d.anyOf())
	s.Dive = d.diveOrAll()
	return one(s)
}

func (d *director) goesOutside() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidOutside, d.mostly(append(d.leadersFor(p.ID), judge.Shop)...), p)
	s.Dive = d.diveOrAll()
	return one(s)
}

func (d *director) insideAgain() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidOutsideBack, d.mostly(append(d.leadersFor(p.ID), judge.Shop)...), p)
	s.Dive = d.diveOrAll()
	return one(s)
}

func (d *director) namesHelium() []judge.Said {
	p := d.anyOf()
	return one(d.of(judge.SaidHelium, p.ID, p))
}

func (d *director) wasSlip() []judge.Said {
	p := d.anyOf()
	return one(d.of(judge.SaidHeliumSlip, d.mostly(d.leadersFor(p.ID)...), p))
}

func (d *director) dived24() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidLast24, p.ID, p)
	s.Yes = d.chance(40)
	return one(s)
}

var roleScenes = []weighted{
	{2, (*director).walksIn}, {2, (*director).leaves}, {1, (*director).broughtBack}, {1, (*director).renamed},
	{1, (*director).handsOver},
	{1, (*director).takesOver}, {1, (*director).newRole}, {1, (*director).calledOff},
}

// walksIn is somebody who was not booked, let in by leader, crew or shop.
func (d *director) walksIn() []judge.Said {
	if len(d.people) > 9 {
		return nil
	}
	s := d.say(judge.SaidPerson, d.mostly(append(d.crew(), judge.Shop)...))
	if d.chance(40) { // without a phone: leader or crew answer what is asked, and saw the card
		s.NewPerson = d.newcomer()
		s.NewPerson.Diver = s.By == judge.Shop || len(s.NewPerson.Cylinders) > 0
		if s.NewPerson.Card == judge.CardUnseen {
			s.NewPerson.Card = judge.CardSeen
		}
		return one(s)
	}
	count := d.numbers
	s.NewPerson = person(d.Rand, d.booked, &d.numbers, judge.Person{Diver: true})
	s.NewPerson.Outside = ""
	d.numbers = count // it counts when it is remembered
	return one(s)
}

func (d *director) leaves() []judge.Said {
	p := d.anyOf()
	if p.Leader && len(d.leaders()) == 1 && !d.chance(10) {
		return nil
	}
	if d.chance(50) {
		return one(d.of(pick(d.Rand, judge.SaidLeft, judge.SaidForgot), p.ID, p))
	}
	return one(d.of(judge.SaidRemoved, d.mostly(append(d.leadersFor(p.ID), judge.Shop)...), p))
}

func (d *director) broughtBack() []judge.Said {
	p := d.anyOf()
	return one(d.of(judge.SaidBroughtBack, d.mostly(d.leadersFor(p.ID)...), p))
}

func (d *director) renamed() []judge.Said {
	p := d.anyOf()
	return one(d.of(judge.SaidRenamed, d.mostly(p.ID, judge.Shop), p))
}

func (d *director) handsOver() []judge.Said {
	return one(d.of(judge.SaidHandOver, d.mostly(d.leaders()...), d.anyOf()))
}

// takesOver comes with the leader gone, mostly.
func (d *director) takesOver() []judge.Said {
	if len(d.leaders()) > 0 && !d.chance(30) {
		return nil
	}
	p := d.anyOf()
	s := d.of(judge.SaidTakeOver, p.ID, p)
	s.Witness = d.anyOf().ID
	return one(s)
}

// calledOff is called off, and mostly put on again: what people say meanwhile is kept as ever.
func (d *director) calledOff() []judge.Said {
	kind := pick(d.Rand, judge.SaidCalledOff, judge.SaidPutOn)
	return one(d.say(kind, d.mostly(append(d.leaders(), judge.Shop)...)))
}

func (d *director) newRole() []judge.Said {
	p := d.anyOf()
	s := d.of(judge.SaidRole, d.mostly(append(d.leadersFor(p.ID), judge.Shop)...), p)
	s.Leader = d.chance(30)
	s.Crew = !s.Leader && d.chance(50)
	if len(d.leadersFor(p.ID)) == 0 {
		s.Leader, s.Crew = true, false
	}
	return one(s)
}
