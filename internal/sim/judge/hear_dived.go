package judge

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// "Only a leader's answer makes a dive dived, and it can be taken back." Its board stays as it was when
// the dive began, with all that had been said by then.
func (d *Day) hearDived(s Said) {
	v := d.dive(s.Dive)
	switch {
	case v == nil:
		return
	case !d.leader(s.By):
		if s.Person == s.By {
			d.hearDivedMyself(s)
		}
		return
	}
	if !v.dived {
		v.notDived = false
		d.begin(v, s)
		v.frozen = d.boardAsSigned(v)
		v.frozen.Dived, v.frozen.Refused = true, []Refusal{{Why: WhyDived}}
		v.dived = true
	}
	if p := d.person(s.Person); p != nil {
		d.divedBy(p, v, s)
	} else if s.Person == "" {
		v.all = s.Dived
		for _, p := range d.people {
			p.afterDived[v.number] = Dived{cmp.Or(s.Dived.Depth, v.plan.Depth), cmp.Or(s.Dived.Minutes, v.plan.Minutes)}
		}
	}
}

// begin keeps when a dive began and what everybody breathed. A boat that is later than its plan and signs late
// began when it was signed, not before.
func (d *Day) begin(v *dive, s Said) {
	began := d.start(v.number)
	if last := d.lastSignature(v.number); last != nil {
		began = later(began, last.at)
	}
	if s.At.Before(began) {
		began = s.At
	}
	v.began, v.answered = began, mark{s.At, d.count}
	v.then = d.asAnswered()
	v.gases = d.gasesOf(v)
}

// answered is the day as it is when a leader says that a dive was dived.
type answered struct {
	heard          int // changes before it
	departs        time.Time
	firstDiveAfter float64
	policy         Policy
	plans          []Dive
	agreed         []float64                             // their intervals, by which readings age
	outs           map[roster.PersonID]map[int]time.Time // since when
}

func (d *Day) asAnswered() answered {
	a := answered{heard: len(d.heard) - 1, departs: d.departs, firstDiveAfter: d.firstDiveAfter, policy: d.policy,
		outs: map[roster.PersonID]map[int]time.Time{}}
	for _, v := range d.dives {
		a.plans, a.agreed = append(a.plans, v.plan), append(a.agreed, v.agreed)
	}
	for _, p := range d.people {
		a.outs[p.ID] = maps.Clone(p.outSince)
	}
	return a
}

// gasesOf is what everybody breathed, as it stood when the dive began: the day is told again up to then. Plan, start
// and policy are those of the answer, as they are for its board; which other dive was dived before
// is as it is said now, of
// those that were answered before.
func (d *Day) gasesOf(v *dive) map[roster.PersonID]breathed {
	then := Open(d.booked)
	for _, change := range d.heard[:v.then.heard] {
		if !change[0].At.After(v.began) {
			then.Hear(change...)
		}
	}
	then.dive(v.number).notDived = false
	then.departs, then.firstDiveAfter, then.policy = v.then.departs, v.then.firstDiveAfter, v.then.policy
	for i, e := range d.dives {
		then.dives[i].plan, then.dives[i].agreed = v.then.plans[i], v.then.agreed[i]
		then.dives[i].dived = false
		if e.dived && e != v && e.answered.n < v.answered.n && !d.ended(e).at.After(v.began) {
			then.dives[i].dived, then.dives[i].answered, then.dives[i].began = true, e.answered, e.began
			then.dives[i].gases = e.gases
		}
	}
	then.hearAnswers(d)
	d.movedSince(then, v)
	for _, q := range then.places {
		if slices.Contains(q.leftOn, v.number) && !d.heldOn(q.id, v) { // a leader's word, however late
			q.leftOn = slices.DeleteFunc(q.leftOn, func(n int) bool { return n == v.number })
		}
	}
	gases := map[roster.PersonID]breathed{}
	for _, p := range then.people {
		if !satOut(v.then.outs[p.ID], v.number, v.began) {
			p.outs = map[int]bool{} // brought back: said too late for the dive, so they were on it
		}
		gases[p.ID] = then.gasOn(p, then.dive(v.number), v.began)
	}
	return gases
}

// movedSince tells the day of then what was said only later: that a cylinder was dived on a dive before this one.
func (d *Day) movedSince(then *Day, v *dive) {
	began := mark{v.began, v.answered.n}
	for _, q := range d.places {
		e, was := d.dive(q.dive), then.place(q.id)
		if was != nil && e != nil && e != v && then.dive(e.number).dived && q.body.sameAt(q.bodyAt(began), began) {
			was.leftOn = append(was.leftOn, e.number)
		}
	}
}

// heldOn tells whether a cylinder that was taken from a place is still held to be dived on a dive, or is back there.
func (d *Day) heldOn(id roster.CylinderID, v *dive) bool {
	return slices.ContainsFunc(d.places, func(q *place) bool {
		back := q.dive == v.number && !q.came.at.After(v.began)
		return q.id == id && (back || slices.Contains(q.leftOn, v.number))
	})
}

// boardAsSigned is the board under the signature that stands, also one that lapsed, which this answer lets stand;
// else as it was when the dive began.
func (d *Day) boardAsSigned(v *dive) DiveVerdict {
	if s := d.lastSignature(v.number); s != nil && d.standing(s, s.at).State == Standing {
		return s.board
	}
	return d.board(v, v.began)
}

// divedBy keeps what one person dived. "Looser takes a leader", who is another.
func (d *Day) divedBy(p *person, v *dive, s Said) {
	if !d.leaderFor(s.By, p) {
		p.sayDived(v.number, s.Dived)
		return
	}
	is, after, said := p.dived[v.number], p.afterDived[v.number], p.saidDived[v.number]
	if s.Dived.Depth > 0 {
		is.Depth, after.Depth, said.Depth = s.Dived.Depth, 0, 0
	}
	if s.Dived.Minutes > 0 {
		is.Minutes, after.Minutes, said.Minutes = s.Dived.Minutes, 0, 0
	}
	p.dived[v.number], p.afterDived[v.number], p.saidDived[v.number] = is, after, said
}

// sayDived keeps what somebody says that they dived: the deepest and the longest.
func (p *person) sayDived(number int, said Dived) {
	p.saidDived[number] = p.saidDived[number].atLeast(said)
	p.ownWords[number] = p.ownWords[number].atLeast(said)
}

func (d Dived) atLeast(o Dived) Dived { return Dived{max(d.Depth, o.Depth), max(d.Minutes, o.Minutes)} }

// hearDivedMyself counts at once, also before a leader said that the dive was dived.
func (d *Day) hearDivedMyself(s Said) {
	p, v := d.person(s.By), d.dive(s.Dive)
	if p == nil || v == nil {
		return
	}
	p.sayDived(v.number, s.Dived)
}

// hearDivedBack takes back what leaders said. What people said of themselves before stays said.
func (d *Day) hearDivedBack(s Said) {
	if v := d.dive(s.Dive); v != nil && d.leader(s.By) && (v.dived || v.notDived) {
		d.forgetDived(v)
	}
}

func (d *Day) forgetDived(v *dive) {
	v.dived, v.notDived, v.all, v.frozen, v.gases = false, false, Dived{}, DiveVerdict{}, nil
	for _, p := range d.people {
		delete(p.dived, v.number)
		delete(p.afterDived, v.number)
		p.saidDived[v.number] = p.ownWords[v.number]
	}
	d.tellGasesAgain() // its cylinders were not breathed before
}

// tellGasesAgain is for what is said later of which cylinder was dived when.
func (d *Day) tellGasesAgain() {
	for _, e := range d.dives {
		if e.dived {
			e.gases = d.gasesOf(e)
		}
	}
}

// "That an earlier dive is not dived, by a leader."
func (d *Day) hearNotDived(s Said) {
	if v := d.dive(s.Dive); v != nil && d.leader(s.By) {
		for _, p := range d.people {
			delete(p.ownWords, v.number)
		}
		d.forgetDived(v)
		v.notDived = true
	}
}
