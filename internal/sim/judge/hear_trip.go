package judge

import (
	"slices"
	"time"
)

// "Open invite: one link for a trip." Shop or leader opens and shuts it; who waits then goes.
func (d *Day) hearInvite(s Said) {
	if s.By != Shop && !d.leader(s.By) {
		return
	}
	d.invite = s.Yes
	if !s.Yes {
		clear(d.waiting)
	}
}

// "Who opens it gives a name, card yes/no, the blend, and waits for [Let in]." Who was sent away doesn't come back.
func (d *Day) hearWaits(s Said) {
	if d.invited(s.At) && d.person(s.NewPerson.ID) == nil && !d.sentAway[s.NewPerson.ID] {
		d.waiting[s.NewPerson.ID] = s.NewPerson
	}
}

// dayAfter is how long after its last dive's start somebody may still come to a trip.
const dayAfter = 24 * time.Hour

// invited tells whether the open invite takes people: "shut by itself at sign-off of the last dive".
func (d *Day) invited(now time.Time) bool {
	last := d.start(len(d.dives)).Add(dayAfter)
	return d.invite && !d.calledOff && !now.After(last) && slices.ContainsFunc(d.dives, func(v *dive) bool {
		s := d.lastSignature(v.number)
		signed := s != nil && d.standing(s, now).State == Standing
		return !signed && !v.dived && !v.notDived
	})
}

// "Let in by leader or crew", who may have seen the card. Who wants no cylinder for any dive is no diver.
func (d *Day) hearLetIn(s Said) {
	p, waits := d.waiting[s.Person]
	if !waits || !d.crew(s.By) {
		return
	}
	delete(d.waiting, s.Person)
	if s.Card == CardSeen {
		p.Card = CardSeen
	}
	p.Cylinders = slices.DeleteFunc(slices.Clone(p.Cylinders), func(c Cylinder) bool { return c.Dive > len(d.dives) })
	p.Diver = len(p.Cylinders) > 0
	d.arrives(p, s)
}

func (d *Day) hearSentAway(s Said) {
	if _, waits := d.waiting[s.Person]; waits && d.crew(s.By) {
		delete(d.waiting, s.Person)
		d.sentAway[s.Person] = true
	}
}

// "Called off: the record keeps it." Nobody is let in any more until it is put on again.
func (d *Day) hearCalledOff(s Said) {
	if s.By == Shop || d.leader(s.By) {
		d.calledOff = s.Kind == SaidCalledOff
	}
}

// hearDropped takes the last dive off the day, by a leader, while nobody signed it or said what became of it. Its
// cylinders are in use no more.
func (d *Day) hearDropped(s Said) {
	v := d.dive(s.Dive)
	if v == nil || v.number != len(d.dives) || v.number == 1 || !d.leader(s.By) || v.dived || v.notDived ||
		d.lastSignature(v.number) != nil {
		return
	}
	for _, q := range d.places {
		if q.dive == v.number {
			q.moves = append(q.moves, moved{q.dive, s.At})
			q.dive = 0
		}
		q.leftOn = slices.DeleteFunc(q.leftOn, func(n int) bool { return n == v.number })
	}
	d.held = slices.DeleteFunc(d.held, func(h Said) bool { return h.Kind == SaidPlan && h.Dive == v.number })
	d.dives = d.dives[:v.number-1]
}
