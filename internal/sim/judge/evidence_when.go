package judge

import (
	"slices"
	"time"
)

const (
	beforeCheck = 30 * time.Minute // what still counts when the boat check opens first
	onTheBoat   = 4 * time.Hour    // how old a reading or an answer may be after that
	startMoved  = time.Hour        // later by more than this: the check is opened again
)

// whyNot tells why a reading doesn't count; the zero value is that it does.
type whyNot uint8

const (
	counts      whyNot = iota
	notTheirs          // evidence 1
	takenBack          // undone, a slip, or said twice
	voided             // before a fill, a change, or the label's coming back
	dived              // taken before a dive with the same cylinder
	setAside           // by a witnessed reading that settled
	badAirPoint        // the analyser was off in air
	unconfirmed        // evidence 4
	relabelled         // before what happened to, or a dive with, a cylinder that a label made the same since
	tooOld             // evidence 2
	notAnswered        // would count if the boat question were answered
)

// 2. "It must come after the last fill, not be taken back, and be no older than
// fresh_for_hours at the later of the planned start and now."
func (d *Day) fresh(r *reading, q *place, number int, now time.Time) whyNot {
	v := d.dive(number)
	then := later(d.agedBy(number), now)
	age := then.Sub(r.taken.at)
	if age > hours(d.policy.FreshFor) {
		return tooOld
	}
	if len(v.checks) == 0 || d.sinceCheck(r, v) && age <= onTheBoat {
		return counts
	}
	return d.answered(r, q, v, then)
}

// agedBy is the start by which readings age. "Start, interval by a leader, or by the shop before the first reading":
// an interval that the shop alone made shorter makes none younger.
func (d *Day) agedBy(number int) time.Time {
	at := d.start(number)
	for _, v := range d.dives[:number] {
		at = at.Add(minutes(max(v.agreed, v.plan.Interval)) - minutes(v.plan.Interval))
	}
	return at
}

// "Once the boat check of a dive is open it counts when it was taken since, or at most 30
// minutes before it opened. A check can be opened again: what came before is then old (the
// 30 minutes hold for the first opening only)."
func (d *Day) sinceCheck(r *reading, v *dive) bool {
	last := v.checks[len(v.checks)-1]
	if len(v.checks) == 1 && !r.taken.at.Before(last.at.Add(-beforeCheck)) {
		return true
	}
	return last.before(r.taken)
}

// "An older one counts when answered 'stayed with me' after the check opened, answer and
// reading no older than four hours each at that moment (with policy all the answer does
// not help)."
func (d *Day) answered(r *reading, q *place, v *dive, then time.Time) whyNot {
	if then.Sub(r.taken.at) > onTheBoat || d.policy.BoatCheck == BoatCheckAll {
		return tooOld
	}
	opened := v.checks[len(v.checks)-1]
	for _, w := range q.boat {
		if w.answer == BoatKept && w.dive == v.number && opened.before(w.mark) && then.Sub(w.at) <= onTheBoat {
			return counts
		}
	}
	return notAnswered
}

// "It counts for every dive of that diver with that cylinder that is not dived; once one is
// dived the next needs one taken after it."
func (d *Day) beforeADive(r *reading, q *place, number int) bool {
	return d.beforeOneWith(r, number, func(b *body, _ *dive) bool { return b.real() == q.body.real() })
}

// beforeADiveAsKnown is the same by which cylinders were known to be one when a leader said that it was dived.
func (d *Day) beforeADiveAsKnown(r *reading, q *place, number int) bool {
	return d.beforeOneWith(r, number, func(b *body, v *dive) bool { return b.sameAt(q.body, v.answered) })
}

func (d *Day) beforeOneWith(r *reading, number int, same func(*body, *dive) bool) bool {
	for _, v := range d.dives {
		if !v.dived || v.number == number || !d.usedOn(same, v, v.began) {
			continue
		}
		if r.taken.before(d.ended(v)) {
			return true
		}
	}
	return false
}

// usedOn tells whether somebody had a cylinder for a dive when that began, or later.
func (d *Day) usedOn(same func(*body, *dive) bool, v *dive, began time.Time) bool {
	for _, o := range d.places {
		on := o.dive == v.number || slices.Contains(o.leftOn, v.number)
		if same(o.body, v) && (on || o.wasOn(v, began, o.came.at, forEver)) || o.stoodOn(v, began, same) {
			return true
		}
	}
	return false
}

// begunWith tells whether a dive has begun that somebody had a cylinder for: by plan, or as it was dived.
func (d *Day) begunWith(b *body, now time.Time) bool {
	same := func(o *body, _ *dive) bool { return o.real() == b.real() }
	return slices.ContainsFunc(d.dives, func(v *dive) bool {
		began := d.start(v.number)
		if v.dived {
			began = v.began
		}
		return !v.notDived && !now.Before(began) && d.usedOn(same, v, began)
	})
}

var forEver = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// wasOn tells whether a place was moved away from a dive only after that began, while what came there at a moment
// stood there.
func (q *place) wasOn(v *dive, began, came, until time.Time) bool {
	return slices.ContainsFunc(q.moves, func(m moved) bool {
		return m.from == v.number && m.at.After(began) && !m.at.Before(came) && !m.at.After(until)
	})
}

// stoodOn tells whether a cylinder stood in a place, for a dive, after that began. Where the place was moved once
// another stood there is no matter of the one before.
func (q *place) stoodOn(v *dive, began time.Time, same func(*body, *dive) bool) bool {
	return slices.ContainsFunc(q.past, func(s stood) bool {
		return same(s.body, v) && s.until.at.After(began) &&
			(s.dive == v.number || q.wasOn(v, began, s.came.at, s.until.at))
	})
}

// ended is when a dived dive was over: as planned from when it began, or when the leader said so if that was sooner.
func (d *Day) ended(v *dive) mark {
	planned := v.began.Add(d.lasts(v.plan))
	if v.answered.at.Before(planned) {
		return v.answered
	}
	return mark{planned, v.answered.n}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }
func minutes(m float64) time.Duration {
	return time.Duration(m * float64(time.Minute)).Round(time.Second)
}
