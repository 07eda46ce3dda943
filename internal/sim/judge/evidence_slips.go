package judge

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// promise is what a slip leaves open: its new number counts only when it is shown again.
// Until then a no-go stays, anything else is not cleared.
type promise struct {
	body  *body
	owner *person
	at    mark
	read  mark // when the number was taken that was taken back
	noGo  bool
	from  []float64  // the numbers that were taken back, one instead of the other
	it    *reading   // the number that takes its place; nil until the diver said one
	kept  []*reading // what showed it again
	over  bool       // it had nothing to show any more when a fill came
	same  bool       // another number within 0.5 counted when it was taken back: nothing has to be said instead
	far   bool       // a number that was said instead, and was a slip too, lay away from it
	moot  bool       // the diver's next number was the same
}

// open tells whether it is still to be kept. A fill by somebody else ends it with all readings; one that only its diver
// reports, with a watched reading on a calibrated analyser.
func (d *Day) open(p *promise) bool { return d.broken(p) && !d.emptied(p) }

func (d *Day) emptied(p *promise) bool {
	return d.filledAfter(p.body, p.at, p.at) || d.ownFillWatched(p.body, p.read, p.read)
}

// broken tells whether nothing showed the new number again.
func (d *Day) broken(p *promise) bool {
	return !d.done(p) && !p.isKept() && !(p.same && p.it == nil)
}

// done tells whether nothing has to be shown any more. Once a number was set aside it stands for nothing.
func (d *Day) done(p *promise) bool {
	return p.over || p.moot || p.it != nil && slices.Contains(d.compare(p.it.cylinder()).aside, p.it)
}

func (p *promise) isKept() bool {
	return slices.ContainsFunc(p.kept, func(r *reading) bool { return !r.undone && !r.slip && !r.badAir() })
}

// filledSince tells whether its diver filled the cylinder since: a watched reading ends what was open before that, and
// nothing that was taken back after it.
func (d *Day) filledSince(p *promise) bool { return len(d.ownFillsAfter(p.body, p.read, p.at)) > 0 }

// endPromises: a fill by somebody else leaves those that were kept as they are.
func (d *Day) endPromises(b *body) {
	for _, p := range d.promises {
		if p.body.real() == b && !d.broken(p) {
			p.over = true
		}
	}
}

// next is the number that is said next, after one was taken back.
func (p *promise) next(r *reading) {
	p.it = r
	p.moot = !p.noGo && !p.far && p.near(r)
}

// and adds a number that was a slip, too. What is said instead is asked of the diver of the last one.
func (p *promise) and(r *reading) {
	p.far, p.owner = p.far || !p.near(r), r.owner
	p.from = append(p.from, r.value)
}

// near tells whether a number lies within 0.5 of all that it stands instead of.
func (p *promise) near(r *reading) bool {
	return !slices.ContainsFunc(p.from, func(v float64) bool { return math.Abs(r.value-v) > 0.5+exactly })
}

// promise opens one for a number that was taken back.
func (d *Day) promise(s Said, old, it *reading) *promise {
	p := &promise{body: old.body, owner: old.owner, at: mark{s.At, d.count}, read: old.taken, it: it}
	for r := old; r != nil; r = r.inPlaceOf {
		p.from = append(p.from, r.value)
	}
	d.promises = append(d.promises, p)
	return p
}

func (d *Day) openPromises(b *body) []*promise {
	var open []*promise
	for _, p := range d.promises {
		if p.body.real() == b && d.open(p) {
			open = append(open, p)
		}
	}
	return open
}

// 4. "A correction makes the earlier number a slip: shown on the board, not compared." It does
// so for who said the earlier one. "Once the boat check is open a new number is a new reading,
// never a correction. On an unsettled cylinder a correction only adds a reading."
func (d *Day) correct(s Said) {
	old := d.lastOf(d.original(s.Of))
	if old != nil && !old.undone && !old.slip && old.value == s.Value && old.by == s.By {
		return // the same again
	}
	if old == nil || !(s.Value > 0 && s.Value <= 100) || d.reading(s.Reading) != nil {
		return
	}
	s.CO, s.HasCO, s.Message = 0, false, old.message // it is of that look at the analyser
	v := d.diveOf(old)
	if v == nil || v.dived || len(v.checks) == 0 {
		s.Taken = old.taken.at // it puts right what was seen then
	}
	if !d.mayCorrect(s, old) {
		d.addReading(s, old.place, old).beside = old
		return
	}
	if s.Analyser == "" {
		s.Analyser = old.analyser
	}
	before := d.noGosWith(old.cylinder(), s.At)
	old.slip, old.undoneAt = true, mark{s.At, d.count}
	it := d.addReading(s, old.place, old)
	it.inPlaceOf = old
	if old.by != old.owner.ID {
		it.who = old.who // of the same look at the analyser
	}
	if s.AirPoint == 0 {
		it.air, it.expected, it.airLater = old.air, old.expected, old.airLater
	}
	d.promiseFor(s, old, it)
	d.reopen(old)
	if d.lostNoGo(before, old.cylinder(), s.At) {
		d.noGoStays(s, old, it)
	}
}

func (d *Day) mayCorrect(s Said, old *reading) bool {
	v := d.diveOf(old)
	return s.By == old.by && !old.undone && !old.slip &&
		!d.filled(old) && !d.filledByItsDiver(old) && (v == nil || !v.dived && len(v.checks) == 0) &&
		!d.compare(old.cylinder()).unsettled
}

// "One that moves a value by more than 0.5 either way counts only after" it was shown again. A correction of a
// correction keeps what the first left open, and is held against every number before it.
func (d *Day) promiseFor(s Said, old, it *reading) {
	chained, asks := false, false
	for first := old; first != nil; first = first.inPlaceOf {
		asks = asks || math.Abs(it.value-first.value) > 0.5+exactly
	}
	for _, p := range d.promises {
		if p.it == old {
			p.kept, p.same = nil, p.same && !asks
			p.and(old)
			p.next(it)
			chained = chained || !p.moot && !d.filledSince(p)
		}
	}
	if asks && !chained {
		d.promise(s, old, it)
	}
}

// noGoStays: "one that takes back a no-go" has to be shown, too, however near it lies. What still counts for the dives
// after until it was shown takes none back.
func (d *Day) noGoStays(s Said, old, it *reading) {
	chained := false
	for _, p := range d.promises {
		if p.it == it {
			p.noGo, p.same, p.moot = true, false, false
			chained = chained || !d.filledSince(p)
		}
	}
	if !chained {
		d.promise(s, old, it).noGo = true
	}
}

// noGosWith are the no-gos of everybody who has a cylinder, on every dive: it may be breathed before.
func (d *Day) noGosWith(b *body, now time.Time) []string {
	var list []string
	for _, p := range d.people {
		if !d.sharesCylinder(p, b) {
			continue
		}
		for _, v := range d.dives {
			if v.dived {
				continue
			}
			for r, s := range d.look(p, v, now).found {
				if s == NoGo {
					list = append(list, fmt.Sprint(p.ID, v.number, r))
				}
			}
		}
	}
	return list
}

func (d *Day) lostNoGo(before []string, b *body, now time.Time) bool {
	after := d.noGosWith(b, now)
	return slices.ContainsFunc(before, func(r string) bool { return !slices.Contains(after, r) })
}

const undoWithin = 2 * time.Minute

// "Or an undo within two minutes and before another reading of that cylinder, makes the earlier
// number a slip. Any other undone reading stays compared."
func (d *Day) undo(s Said) {
	r := d.original(s.Of)
	if r == nil || r.undone || r.slip || s.By != r.by && (!d.crew(s.By) || s.By == r.owner.ID) {
		return
	}
	before, slip := d.noGosWith(r.cylinder(), s.At), d.undoesSlip(s, r)
	r.undone, r.undoneAt, r.slip = true, mark{s.At, d.count}, slip || r.slip
	awaited := d.awaitAnother(r)
	d.reopen(r)
	if !slip {
		return
	}
	var p *promise
	if !awaited {
		p = d.promise(s, r, nil)
		p.same = d.sameStillCounts(r, s.At)
	}
	if !d.lostNoGo(before, r.cylinder(), s.At) {
		return
	}
	if awaited {
		p = d.promise(s, r, nil)
	}
	p.noGo, p.same = true, false
}

func (d *Day) undoesSlip(s Said, r *reading) bool {
	v, b := d.diveOf(r), r.cylinder()
	if s.By != r.by || s.At.Sub(r.said) > undoWithin || v != nil && v.dived || d.filled(r) || d.filledByItsDiver(r) {
		return false
	}
	another := slices.ContainsFunc(d.readings, func(q *reading) bool {
		return q.cylinder() == b && q.n > r.n && !q.twice
	})
	return !another && !d.compare(b).unsettled
}

// sameStillCounts tells whether another number within 0.5 stands for the undone one.
func (d *Day) sameStillCounts(r *reading, now time.Time) bool {
	if d.dive(r.place.dive) == nil {
		return false
	}
	for _, q := range d.evidence(r.place, r.place.dive, now).counting {
		if q.cylinder() == r.cylinder() && math.Abs(q.value-r.value) <= 0.5+exactly {
			return true
		}
	}
	return false
}

// lastOf is the number that took the place of one that was put right, or was said of it once it was taken back.
func (d *Day) lastOf(r *reading) *reading {
	for r != nil && r.slip {
		i := len(d.readings) - 1
		for i >= 0 && d.readings[i].inPlaceOf != r && d.readings[i].beside != r {
			i--
		}
		if i < 0 {
			break
		}
		r = d.readings[i]
	}
	return r
}

// original is the reading of an id; of one said twice the earlier one.
func (d *Day) original(id roster.ReadingID) *reading {
	r := d.reading(id)
	if r != nil && r.twice {
		return r.first
	}
	return r
}
