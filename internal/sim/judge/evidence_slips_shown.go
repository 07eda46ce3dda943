package judge

import (
	"math"
	"slices"
)

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
		d.hearAgain(p, it.undoneAt.n)
	}
}

// hearAgain leaves a place to the next number after something was said.
func (d *Day) hearAgain(p *promise, n int) {
	p.it, p.moot = nil, false
	for _, q := range d.readings {
		if q.n > n && q.cylinder() == p.body.real() && !q.twice && !q.undone {
			p.hear(q)
		}
	}
}

// notNext: a watched number on an analyser of which it is said later that it was off was not the next one.
func (d *Day) notNext(r *reading) {
	for _, p := range d.promises {
		if p.it == r && r.badAir() && r.who == witnessed {
			d.hearAgain(p, r.n)
		}
	}
}
