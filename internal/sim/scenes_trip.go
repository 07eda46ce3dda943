package sim

import (
	"gasmuster/internal/sim/judge"
)

// The trip as a whole: people who come by the open invite, a dive that is dropped, a day that is postponed. On some
// days a host began the trip from the phone, and the whole group comes by the invite.

var tripScenes = []weighted{
	{1, (*director).invites}, {3, (*director).knocks}, {3, (*director).letsIn}, {1, (*director).sendsAway},
	{1, (*director).drops}, {1, (*director).postpones},
}

// gathers is what is said at the beginning of a hosted day, until the group is there.
func (d *director) gathers() []judge.Said {
	switch {
	case d.group == 0:
		return nil
	case !d.invite:
		s := d.say(judge.SaidInvite, d.people[0].ID)
		s.Yes = true
		return one(s)
	case len(d.waiting) > 0 && d.chance(50):
		d.group--
		return d.letsIn()
	}
	return d.knocks()
}

// invites opens the open invite, or shuts it.
func (d *director) invites() []judge.Said {
	s := d.say(judge.SaidInvite, pick(d.Rand, d.mostly(append(d.leaders(), judge.Shop)...), d.anybody()))
	s.Yes = !d.invite || d.chance(60)
	return one(s)
}

// mostPeople is how many a day has before nobody else comes.
const mostPeople = 10

// knocks is somebody at the open invite: with a card or without, with a cylinder for a dive or none.
func (d *director) knocks() []judge.Said {
	if len(d.people)+len(d.waiting) >= mostPeople || !d.invite && !d.chance(10) {
		return nil
	}
	who := d.newcomer()
	s := d.say(judge.SaidWaits, who.ID)
	s.NewPerson = who
	return one(s)
}

// newcomer is somebody who tells of themself what is asked at the open invite. They are counted when they are
// remembered.
func (d *director) newcomer() judge.Person {
	count := d.numbers
	who := judge.Person{ID: d.numbers.person()}
	who.Card = pick(d.Rand, judge.CardUnseen, judge.CardUnseen, judge.CardUnseen, judge.CardNone)
	who.Qualification = qualification(d.Rand, d.booked.Units)
	label := ""
	if d.chance(60) {
		label = d.numbers.label()
	}
	for i, v := range d.booked.Dives {
		if d.chance(85) {
			c := judge.Cylinder{ID: d.numbers.cylinder(), Label: label, Asked: request(d.Rand, d.booked, v), Dive: i + 1}
			who.Cylinders, label = append(who.Cylinders, c), ""
		}
	}
	d.numbers = count
	return who
}

// letsIn answers somebody who waits: in, mostly with the card seen.
func (d *director) letsIn() []judge.Said {
	if len(d.waiting) == 0 {
		return nil
	}
	s := d.say(judge.SaidLetIn, d.mostly(d.crew()...))
	s.Person = pick(d.Rand, d.waiting...).ID
	if d.chance(70) {
		s.Card = judge.CardSeen
	}
	return one(s)
}

func (d *director) sendsAway() []judge.Said {
	if len(d.waiting) == 0 {
		return nil
	}
	s := d.say(judge.SaidSentAway, pick(d.Rand, d.mostly(d.crew()...), d.anybody()))
	s.Person = pick(d.Rand, d.waiting...).ID
	return one(s)
}

// drops takes the last dive off the day.
func (d *director) drops() []judge.Said {
	if len(d.booked.Dives) < 2 || !d.chance(30) {
		return nil
	}
	s := d.say(judge.SaidDropped, pick(d.Rand, d.mostly(d.leaders()...), d.anybody()))
	s.Dive = len(d.booked.Dives)
	return one(s)
}

// postpones moves the departure by what the buttons offer.
func (d *director) postpones() []judge.Said {
	s := d.say(judge.SaidStart, d.mostly(d.leaders()...))
	s.Departs, s.FirstDiveAfter = d.booked.Departs.Add(minutes(pick(d.Rand, 30.0, 60, 120))), d.booked.FirstDiveAfter
	return one(s)
}
