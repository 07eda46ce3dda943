package judge

import (
	"maps"
	"slices"
	"strings"

	"gasmuster/internal/roster"
)

// 6. "A fill or top-up by shop, leader or crew (for somebody else's cylinder) voids its readings.
// One that only the cylinder's diver reports voids them for counting, and they stay compared."
func (d *Day) hearFill(s Said) {
	q := d.place(s.Cylinder)
	if q == nil {
		return
	}
	b, m := q.body.real(), mark{s.At, d.count}
	q.replanned = nil // for what was inside before
	if d.crewOrShopFor(s.By, q.owner) && !d.alsoTheirs(s.By, b) {
		d.endPromises(b)
		b.fills = append(b.fills, m)
		return
	}
	b.own = append(b.own, m)
}

// alsoTheirs tells whether who acts has, or had, the same cylinder in a place of their own: then it is an act
// for themself, too.
func (d *Day) alsoTheirs(by roster.PersonID, b *body) bool {
	return slices.ContainsFunc(d.places, func(q *place) bool { return q.owner.ID == by && q.everHad(b) })
}

// 5. "After a no-go or unsettled, 'another cylinder' by its diver needs a different label, or
// [Swapped] by leader, crew or shop."
func (d *Day) hearAnother(s Said) {
	q, label := d.place(s.Cylinder), plainLabel(s.Label)
	if q == nil || d.divedOn(q) || !d.crewOrShopFor(s.By, q.owner) &&
		(s.By != q.owner.ID || d.needsOtherLabel(q, label, s)) {
		return
	}
	d.leaveBehind(q)
	q.label = label
	q.changes++
	at := mark{s.At, d.count}
	q.past = append(q.past, stood{q.body, q.came, at, q.dive})
	q.came, q.since = at, at
	q.boat, q.replanned = nil, nil
	q.witness = "" // named for the other one
	q.body = d.freshBody(label, q)
}

// divedOn tells whether the dive of a place was dived: what stood there is history.
func (d *Day) divedOn(q *place) bool {
	v := d.dive(q.dive)
	return v != nil && v.dived
}

// leaveBehind keeps what was left on another dive where it is, when another cylinder comes to its place.
func (d *Day) leaveBehind(q *place) {
	if len(q.leftOn) == 0 {
		return
	}
	left := *q
	left.dive, left.moved = 0, maps.Clone(q.moved) // where the place is taken from now on is no matter of what left it
	d.places = append(d.places, &left)
	q.leftOn = nil
}

func (d *Day) needsOtherLabel(q *place, label string, s Said) bool {
	different := label != "" && d.known(label) != q.body.real()
	return !different && (d.compare(q.body.real()).unsettled || len(d.noGoRules(q, s.At)) > 0)
}

// freshBody is the cylinder that comes to a place: "a label that comes back within the trip is the
// same cylinder with the same history". Without a new label it is one that nobody saw before, and
// the label goes with it.
func (d *Day) freshBody(label string, q *place) *body {
	old := q.body.real()
	if label == "" || d.known(label) != old {
		return d.bodyOf(label)
	}
	return old
}

// hearLabel gives a place's cylinder a label, or puts it right. "A new label never ends" what is
// unsettled: the cylinder keeps its history, and shares it with what had that label before.
func (d *Day) hearLabel(s Said) {
	q, label := d.place(s.Cylinder), plainLabel(s.Label)
	if q == nil || label == "" || label == q.label || s.By != q.owner.ID && s.By != Shop && !d.crew(s.By) {
		return
	}
	b, known := q.body.real(), d.known(label)
	again := d.claimedByTwo(q)
	q.label = label
	switch {
	case known == nil:
		b.labels = append(b.labels, label)
	case known != b:
		known.merge(b, mark{s.At, d.count})
	}
	if again {
		q.since = mark{s.At, d.count} // none counts until it is analysed again
	}
}

// merge makes another cylinder the same one, under two labels. What was read of one before counts for
// nobody as read of the other.
func (b *body) merge(o *body, at mark) {
	o.into, o.joined = b, at
}

// joinedAfter tells whether a reading was taken before its cylinder and that of a place were known to be
// the same.
func (q *place) joinedAfter(r *reading) bool { return !r.body.sameAt(q.body, r.taken) }

// sameAt tells whether two cylinders were known to be the same at a moment.
func (b *body) sameAt(o *body, m mark) bool {
	return b.knownAt(m) == o.knownAt(m)
}

// knownAt is what a cylinder was known to be at a moment.
func (b *body) knownAt(m mark) *body {
	for b.into != nil && !m.before(b.joined) {
		b = b.into
	}
	return b
}

// claimedByTwo tells whether somebody else claims the cylinder of a place for a dive of it.
func (d *Day) claimedByTwo(q *place) bool {
	return slices.ContainsFunc(d.dives, func(v *dive) bool {
		return (q.dive == v.number || slices.Contains(q.leftOn, v.number)) && d.claimed(q, v)
	})
}

// "One cylinder claimed by two divers for one dive." Who sits out or is outside claims nothing; who
// left still does.
func (d *Day) claimed(q *place, v *dive) bool {
	return q.label != "" && slices.ContainsFunc(d.places, func(o *place) bool {
		on := o.dive == v.number || slices.Contains(o.leftOn, v.number)
		return o.owner != q.owner && on && o.label == q.label && !o.owner.away(v.number)
	})
}

func (p *person) away(dive int) bool {
	return p.outs[0] || p.outs[dive] || p.outsides[0] || p.outsides[dive]
}

// hearRequest keeps another blend that is asked for.
func (d *Day) hearRequest(s Said) {
	if q := d.place(s.Cylinder); q != nil && s.Asked > 0 {
		q.asked = append(q.asked, ask{d.count, s.Asked})
	}
}

func (d *Day) hearAdded(s Said) {
	p := d.person(s.Person)
	if p == nil || d.place(s.New.ID) != nil {
		return
	}
	d.addPlace(p, s.New)
	q := d.place(s.New.ID)
	// a label that was there before is analysed again
	q.added, q.came, q.since = s.At, mark{s.At, d.count}, mark{s.At, d.count}
}

// hearMoved takes a cylinder to another dive, or out of use (dive 0). "A cylinder that its diver or the
// shop moves to another dive leaves its findings on the dive that it came from until a leader confirms
// that it is not dived there." Until then nothing that was read before counts on the other dive.
func (d *Day) hearMoved(s Said, to int) {
	q := d.place(s.Cylinder)
	mayMove := q != nil && (s.By == q.owner.ID || s.By == Shop || d.crew(s.By))
	if !mayMove || q.dive == to || d.divedOn(q) {
		return
	}
	delete(q.moved, to)
	q.moves = append(q.moves, moved{q.dive, s.At})
	if !d.leaderFor(s.By, q.owner) {
		q.moved[to] = mark{s.At, d.count}
		if q.dive != 0 {
			q.leftOn = append(q.leftOn, q.dive)
		}
	}
	q.dive = to
	q.leftOn = slices.DeleteFunc(q.leftOn, func(n int) bool { return n == to })
	if d.divedOn(q) {
		d.tellGasesAgain()
	}
}

// hearNotUsed is that leader's word; with it the cylinder was moved by a leader.
func (d *Day) hearNotUsed(s Said) {
	for _, q := range d.places {
		if q.id != s.Cylinder || !d.leaderFor(s.By, q.owner) {
			continue
		}
		q.leftOn = slices.DeleteFunc(q.leftOn, func(n int) bool { return n == s.Dive })
		if len(q.leftOn) == 0 {
			clear(q.moved)
		}
	}
	if v := d.dive(s.Dive); v != nil && v.dived {
		v.gases = d.gasesOf(v)
	}
}

// "'re-planned' (diver and leader, or the leader for both; it stands for the values then counting)."
func (d *Day) hearReplanned(s Said) {
	q := d.place(s.Cylinder)
	if q == nil || q.dive == 0 || !d.leaderFor(s.By, q.owner) {
		return
	}
	e := d.evidence(q, q.dive, s.At)
	if len(e.counting) == 0 {
		return
	}
	q.replanned = nil
	for _, r := range d.heldAgainst(e) {
		q.replanned = append(q.replanned, r.value)
	}
}

// hearBoatAnswer keeps an answer to the boat question. "'Changed' or 'not sure' voids every reading
// before it and is not taken back by words."
func (d *Day) hearBoatAnswer(s Said) {
	q := d.place(s.Cylinder)
	if q == nil || s.By != q.owner.ID && !d.crew(s.By) {
		return
	}
	q.boat = append(q.boat, boatWord{mark{s.At, d.count}, s.Boat, q.dive})
	if s.Boat == BoatKept {
		return
	}
	b := q.body.real()
	b.voids = append(b.voids, mark{s.At, d.count})
}

// plainLabel is a label without what two people write differently.
func plainLabel(s string) string { return strings.ToUpper(strings.TrimSpace(s)) }

// bodyOf finds the cylinder of a label, or makes one.
func (d *Day) bodyOf(label string) *body {
	if b := d.known(label); b != nil {
		return b
	}
	b := &body{}
	if label != "" {
		b.labels = []string{label}
	}
	d.bodies = append(d.bodies, b)
	return b
}

// known is the cylinder that had this label at any time of the trip.
func (d *Day) known(label string) *body {
	if label == "" {
		return nil
	}
	for _, b := range d.bodies {
		if slices.Contains(b.labels, label) {
			return b.real()
		}
	}
	return nil
}
