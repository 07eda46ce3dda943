package judge

import (
	"math"
	"slices"
	"time"
)

// asking are the readings that may be asked about: all that stand, or would but for an analyser of which it was said
// only later that it was off, or for a label that was given later.
func (d *Day) asking(e evidence) []*reading {
	list := e.stands()
	for _, r := range e.ofDiver {
		if e.why[r] == relabelled || e.why[r] == badAirPoint && r.turnedOff() && !d.unconfirmed(r) {
			list = append(list, r)
		}
	}
	return list
}

// "Measured: a whole number equal to the request, or readings of two cylinders by one diver or
// on one analyser in separate messages under 15 s apart (the later is asked): not-cleared until
// answered or witnessed."
func (d *Day) askedToShow(r *reading, e evidence) bool {
	if r.shown || r.who != byDiver || e.watchedAfter(r) {
		return false
	}
	return r.likeTheRequest() || d.tooSoon(r)
}

func (r *reading) likeTheRequest() bool {
	whole := math.Abs(r.value-math.Round(r.value)) < exactly
	return whole && slices.ContainsFunc(r.place.askedSince(r.n), func(v float64) bool {
		return math.Abs(v-r.value) < exactly
	})
}

// order is that of saying; a number that puts another right stands where that stood.
func (r *reading) order() int {
	for r.inPlaceOf != nil {
		r = r.inPlaceOf
	}
	return r.n
}

const tooSoon = 15 * time.Second

// tooSoon tells whether another cylinder was read just before. A label that makes the two one later answers nothing.
func (d *Day) tooSoon(r *reading) bool {
	return slices.ContainsFunc(d.readings, func(q *reading) bool {
		one := q.cylinder() == r.cylinder() && q.body.sameAt(r.body, r.taken)
		if q == r || one || q.order() > r.order() {
			return false
		}
		sameMessage := q.message != "" && q.message == r.message
		sameHand := q.by == r.by || q.analyser != "" && q.analyser == r.analyser
		return !sameMessage && sameHand && near(q.taken.at, r.taken.at, tooSoon)
	})
}

// watchedAfter tells whether somebody watched the analyser later: a number that stands, and that is no correction.
func (e evidence) watchedAfter(r *reading) bool {
	return slices.ContainsFunc(e.stands(), func(q *reading) bool {
		return q.who == witnessed && !q.corrects && r.taken.before(q.taken)
	})
}

// "The analyser showed it", or it has no decimals: by who said the number, or by leader or crew
// for somebody else.
func (d *Day) hearShown(s Said) {
	r := d.original(s.Of)
	if r == nil || s.By != r.by && !d.crewFor(s.By, r.owner) {
		return
	}
	r.shown = true
	r.noDecimal = r.noDecimal || s.NoDecimals
}
