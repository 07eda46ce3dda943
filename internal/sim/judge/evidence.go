package judge

import (
	"slices"
	"time"
)

// evidence is what the readings say of one place for one dive.
type evidence struct {
	comparison
	place      *place
	ofDiver    []*reading // all of the cylinder that are this diver's
	counting   []*reading
	why        map[*reading]whyNot // of each of them
	rich, lean float64             // of all compared
	first      int                 // the first number said of this filling, whatever became of it
}

func (e evidence) read() bool { return len(e.compared) > 0 }

// evidence tells which readings of a place count for a dive. "For depth the richest of all
// compared counts, for time the leanest; without a counting one they only make stricter."
func (d *Day) evidence(q *place, number int, now time.Time) evidence {
	b := q.body.real()
	e := evidence{comparison: d.compare(b), place: q, why: map[*reading]whyNot{}}
	for _, r := range d.readings {
		if r.cylinder() != b || r.owner != q.owner {
			continue
		}
		e.ofDiver = append(e.ofDiver, r)
		e.why[r] = d.whyNot(r, q, number, now, e.comparison)
		if e.why[r] == counts {
			e.counting = append(e.counting, r)
		}
	}
	e.first = d.firstOf(b)
	for i, r := range e.compared {
		if i == 0 {
			e.rich, e.lean = r.rich(), r.lean()
		}
		e.rich, e.lean = max(e.rich, r.rich()), min(e.lean, r.lean())
	}
	return e
}

// firstOf is the first number said of what is in a cylinder now, or else what will be said next.
func (d *Day) firstOf(b *body) int {
	for _, r := range d.readings {
		if r.cylinder() == b && !r.twice && !d.gone(r) {
			return r.n
		}
	}
	return d.count + 1
}

// whyNot goes through the sentences of "Evidence: which reading counts", in their order.
func (d *Day) whyNot(r *reading, q *place, number int, now time.Time, c comparison) whyNot {
	b := q.body.real()
	switch {
	case !r.theirs(q):
		return notTheirs
	case r.undone, r.slip, r.twice:
		return takenBack
	case r.late, d.voidedAsKnown(r), r.taken.before(q.since), q.joinedAfter(r):
		return voided
	case r.taken.before(q.moved[number]):
		return voided
	case slices.Contains(c.aside, r), r.aside:
		return setAside
	case d.beforeADiveAsKnown(r, q, number):
		return dived
	case r.badAir():
		return badAirPoint
	case d.unconfirmed(r):
		return unconfirmed
	case d.voidedAfter(b, r.taken), d.beforeADive(r, q, number):
		return relabelled
	}
	return d.fresh(r, q, number, now)
}

// unconfirmed tells whether a reading is the new number of a slip that was not shown again.
func (d *Day) unconfirmed(r *reading) bool {
	return slices.ContainsFunc(d.openPromises(r.cylinder()), func(p *promise) bool { return p.it == r })
}

// stands are the readings that count, or would but for their age: what one of them asks is not answered by
// time passing.
func (e evidence) stands() []*reading {
	var list []*reading
	for _, r := range e.ofDiver {
		if w := e.why[r]; w == counts || w == tooOld || w == notAnswered {
			list = append(list, r)
		}
	}
	return list
}

// blocked tells whether a reading doesn't count for one reason alone.
func (e evidence) blocked(by whyNot) bool {
	for _, w := range e.why {
		if w == by {
			return true
		}
	}
	return false
}

// heldAgainst are the diver's readings that are held against the request: all that are compared, but for those that
// nothing showed again and those of an analyser that was known to be off. No label, no dive and no time takes one away.
func (d *Day) heldAgainst(e evidence) []*reading {
	var list []*reading
	for _, r := range e.compared {
		if r.theirs(e.place) && !r.undone && !d.unconfirmed(r) && (!r.badAir() || r.airLater) {
			list = append(list, r)
		}
	}
	return list
}

// witnessedCounts tells whether a counting reading was watched.
func (e evidence) witnessedCounts() bool {
	return slices.ContainsFunc(e.counting, func(r *reading) bool { return r.who == witnessed })
}
