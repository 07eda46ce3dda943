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
	return d.filledAfter(p.body, p.at, p.at) || d.ownFillWatched(p.body, p.read)
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
	return slices.ContainsFunc(p.kept, func(r *reading) bool { return !r.undone && !r.slip })
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
func (d *Day) promise(s Said, old, it *reading, noGo bool) {
	p := &promise{body: old.body, owner: old.owner, at: mark{s.At, d.count}, read: old.taken, noGo: noGo, it: it}
	for r := old; r != nil; r = r.inPlaceOf {
		p.from = append(p.from, r.value)
	}
	d.promises = append(d.promises, p)
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
		d.addReading(s, old.place, old.body, true).beside = old
		return
	}
	if s.Analyser == "" {
		s.Analyser = old.analyser
	}
	before := d.noGosWith(old.cylinder(), s.At)
	old.slip, old.undoneAt = true, mark{s.At, d.count}
	it := d.addReading(s, old.place, old.body, true)
	it.inPlaceOf = old
	if old.by != old.owner.ID {
		it.who = old.who // of the same look at the analyser
	}
	if s.AirPoint == 0 {
		it.air, it.expected = old.air, old.expected
	}
	d.promiseFor(s, old, it, d.lostNoGo(before, old.cylinder(), s.At))
}

func (d *Day) mayCorrect(s Said, old *reading) bool {
	v := d.diveOf(old)
	return s.By == old.by && !old.undone && !old.slip &&
		!d.filled(old) && !d.filledByItsDiver(old) && (v == nil || !v.dived && len(v.checks) == 0) &&
		!d.compare(old.cylinder()).unsettled
}

// "One that takes back a no-go, or moves a value by more than 0.5 either way, counts only after"
// it was shown again. A correction of a correction keeps what the first left open, and is held
// against every number before it.
func (d *Day) promiseFor(s Said, old, it *reading, noGo bool) {
	chained, asks := false, noGo
	for first := old; first != nil; first = first.inPlaceOf {
		asks = asks || math.Abs(it.value-first.value) > 0.5+exactly
	}
	for _, p := range d.promises {
		if p.it == old {
			p.kept, p.noGo, p.same = nil, p.noGo || noGo, p.same && !asks
			p.and(old)
			p.next(it)
			chained = chained || !p.moot && !d.filledSince(p)
		}
	}
	if asks && !chained {
		d.promise(s, old, it, noGo)
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
	noGo := d.lostNoGo(before, r.cylinder(), s.At)
	if noGo || !awaited {
		d.promise(s, r, nil, noGo)
		d.promises[len(d.promises)-1].same = !noGo && d.sameStillCounts(r, s.At)
	}
}

// awaitAnother: "after an undo the diver's next number is the 'it'". A number that was near enough and turns out to be
// a slip too leaves all open that it stood for: nobody walks down in small steps.
func (d *Day) awaitAnother(r *reading) bool {
	awaited := false
	for _, p := range d.promises {
		if p.it != r || p.body.real() != r.cylinder() || !d.open(p) && !(r.slip && p.moot) {
			continue
		}
		p.it, p.moot, awaited = nil, false, awaited || !p.same && !d.filledSince(p)
		if r.slip {
			p.and(r)
		}
	}
	return awaited
}

// reopen: a number that was taken back when it was shown already leaves its place to the next one, once what had
// shown it is taken back, too.
func (d *Day) reopen(r *reading) {
	for _, p := range d.promises {
		it := p.it
		if !slices.Contains(p.kept, r) || it == nil || !it.undone || it.slip || !d.open(p) {
			continue
		}
		p.it, p.moot = nil, false
		for _, q := range d.readings {
			if q.n > it.undoneAt.n && q.cylinder() == p.body.real() && !q.twice && !q.undone {
				p.hear(q)
			}
		}
	}
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

// "Counts only after a witnessed reading within 1.0 of it, or the diver's own new reading within
// 0.5 of it, two minutes later or more (after an undo the diver's next number is the 'it'); that
// reading is first taken for this, then (3) applies."
func (d *Day) keepPromises(r *reading) {
	if r.twice || r.place == nil || d.filled(r) { // what was inside before a fill tells nothing of what is now
		return
	}
	for _, p := range d.promises {
		if p.body.real() == r.cylinder() && !d.emptied(p) && !p.over && !p.moot { // what was set aside may be open again
			p.hear(r)
		}
	}
}

// hear takes a number as the next one, or as one that shows it again.
func (p *promise) hear(r *reading) {
	off := r.badAir() // an analyser that is off shows nothing again
	switch {
	case r.corrects: // no new look, but it may be the next number
		if p.it == nil && r.who == byDiver && r.owner == p.owner {
			p.next(r)
		}
	case off && (p.it != nil || r.who == witnessed):
	case r.who == witnessed && !r.ownToo && p.it == nil:
		p.next(r)
		p.kept = append(p.kept, r)
	case r.who == witnessed && !r.ownToo && math.Abs(r.value-p.it.value) <= 1+exactly:
		p.kept = append(p.kept, r)
	case r.who != byDiver || r.owner != p.owner:
	case p.it == nil:
		p.next(r)
	case math.Abs(r.value-p.it.value) <= 0.5+exactly && r.taken.at.Sub(p.it.said) >= undoWithin:
		p.kept = append(p.kept, r)
	}
}

// lastOf is the number that took the place of one that was put right, or was said of it once it was taken back.
func (d *Day) lastOf(r *reading) *reading {
	for _, q := range d.readings {
		if r != nil && r.slip && (q.inPlaceOf == r || q.beside == r) {
			r = q
		}
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
