package judge

import (
	"math"
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// comparison is what the readings of a cylinder say together.
type comparison struct {
	compared  []*reading
	aside     []*reading // set aside by a witnessed reading
	open      []pair     // that disagree, and nothing settled it
	unsettled bool
	noted     bool
}

// pair is two readings that disagree.
type pair struct{ a, b *reading }

// 3. "A new reading is compared with each reading of that cylinder since its last fill,
// whether it still counts or not, apart from slips and those set aside." They are taken
// in the order in which they were said.
func (d *Day) compare(b *body) comparison {
	var c comparison
	for _, r := range d.readings {
		if r.cylinder() == b && !r.slip && !r.twice && !r.aside && !d.filled(r) {
			d.take(&c, r)
		}
	}
	c.unsettled = len(c.open) > 0
	c.noted = c.remarked()
	return c
}

func (d *Day) take(c *comparison, r *reading) {
	if r.settles() && !r.late {
		d.endOwnFill(c, r)
		if c.openTo(r) {
			c.settle(r)
		}
	}
	for _, q := range c.compared {
		if unsettled, _ := conflict(r, q); unsettled {
			c.open = append(c.open, pair{q, r})
		}
	}
	c.compared = append(c.compared, r)
}

// remarked tells whether two of those compared lie far enough from each other for a note.
func (c *comparison) remarked() bool {
	for i, r := range c.compared {
		for _, q := range c.compared[:i] {
			if _, noted := conflict(r, q); noted {
				return true
			}
		}
	}
	return false
}

// "Same or unnamed analyser: from 0.5 a note, over 1.0 unsettled; another analyser, or the
// shop's: from 1.0, over 2.0." The shop's are among themselves as of one analyser.
func conflict(r, q *reading) (unsettled, noted bool) {
	apart, limit := math.Abs(r.value-q.value), 1.0
	named := r.analyser != "" && q.analyser != "" && r.analyser != q.analyser
	shops := r.who == byShop && q.who == byShop
	if named && !shops || (r.who == byShop) != (q.who == byShop) {
		limit = 2
	}
	return apart > limit+exactly, apart >= limit/2-exactly
}

// openTo tells whether a reading can settle something: what was taken before it, and known to be of its cylinder then,
// disagrees. A label that makes two cylinders one later settles nothing, and undoes no settling.
func (c *comparison) openTo(r *reading) bool { return slices.ContainsFunc(c.open, r.mayEnd) }

func (r *reading) mayEnd(p pair) bool { return p.a.before(r) && p.b.before(r) }

func (r *reading) knownTo(o *reading) bool { return r.body.sameAt(o.body, o.taken) }

// before tells whether a reading was taken before another, of a cylinder known to be the same then.
func (r *reading) before(o *reading) bool { return r.knownTo(o) && r.taken.before(o.taken) }

// "Unsettled ends only with a witnessed reading on a calibrated analyser, other than one that
// made it unsettled: then it and those within 1.0 of it count, the others are set aside."
func (c *comparison) settle(r *reading) {
	far := func(q *reading) bool { return q.before(r) && math.Abs(q.value-r.value) > 1+exactly }
	for _, q := range c.compared {
		if far(q) {
			c.aside = append(c.aside, q)
		}
	}
	c.compared = slices.DeleteFunc(c.compared, far)
	c.open = slices.DeleteFunc(c.open, func(p pair) bool { return r.mayEnd(p) || far(p.a) || far(p.b) })
}

// settles tells whether a reading can end what is unsettled. A corrected number is no new
// look at the analyser, and who has the same cylinder can't settle it.
func (r *reading) settles() bool {
	return r.who == witnessed && !r.undone && !r.corrects && !r.ownToo && r.calibrated()
}

// 6. "One that only the cylinder's diver reports voids them for counting, and they stay
// compared until a witnessed reading on a calibrated analyser."
func (d *Day) endOwnFill(c *comparison, r *reading) {
	gone := func(q *reading) bool {
		return q.knownTo(r) && slices.ContainsFunc(d.ownFillsAfter(q.body, q.taken, q.saidMark()),
			func(f mark) bool { return f.before(r.taken) })
	}
	c.compared = slices.DeleteFunc(c.compared, gone)
	c.open = slices.DeleteFunc(c.open, func(p pair) bool { return gone(p.a) || gone(p.b) })
}

// gone tells whether a reading is of an earlier filling: also of one that its diver reported alone, once somebody
// watched the next.
func (d *Day) gone(r *reading) bool {
	return d.filled(r) || d.ownFillWatched(r.body, r.taken, r.saidMark())
}

// filled tells whether somebody other than its diver filled the cylinder after a reading was taken.
func (d *Day) filled(r *reading) bool { return d.filledAfter(r.body, r.taken, r.saidMark()) }

func (d *Day) filledByItsDiver(r *reading) bool {
	return len(d.ownFillsAfter(r.body, r.taken, r.saidMark())) > 0
}

func (r *reading) saidMark() mark { return mark{r.said, r.n} }

// filledAfter tells whether somebody other than its diver filled a cylinder after something was taken, which was said
// at a moment.
func (d *Day) filledAfter(b *body, taken, said mark) bool {
	return len(d.happened(b, taken, said, func(b *body) []mark { return b.fills })) > 0
}

func (d *Day) ownFillsAfter(b *body, taken, said mark) []mark {
	return d.happened(b, taken, said, func(b *body) []mark { return b.own })
}

// happened is what happened to a cylinder after something was taken. What happened to another one
// doesn't make it go away
// unless both were known to be the same when the later of the two was said.
func (d *Day) happened(b *body, taken, said mark, what func(*body) []mark) []mark {
	var list []mark
	for _, o := range d.bodies {
		for _, m := range what(o) {
			last := m
			if m.before(said) {
				last = said
			}
			if taken.before(m) && o.sameAt(b, last) {
				list = append(list, m)
			}
		}
	}
	return list
}

// voidedAfter tells whether a cylinder, under whatever label, was filled or changed after a moment.
// For counting all of its history voids.
func (d *Day) voidedAfter(real *body, m mark) bool {
	for _, b := range d.bodies {
		if b.real() == real && (after(b.fills, m) || after(b.own, m) || after(b.voids, m)) {
			return true
		}
	}
	return false
}

// voidedAsKnown tells whether what was filled or changed after a reading was known to be its cylinder.
func (d *Day) voidedAsKnown(r *reading) bool {
	return len(d.happened(r.body, r.taken, r.saidMark(), func(b *body) []mark {
		return slices.Concat(b.fills, b.own, b.voids)
	})) > 0
}

func after(marks []mark, m mark) bool {
	return slices.ContainsFunc(marks, func(f mark) bool { return m.before(f) })
}

// "The same number for the same cylinder by the same person on the same analyser in less than
// two minutes is one reading said twice; a witness's is always one of its own."
func (d *Day) saidTwice(r *reading) *reading {
	if r.who == witnessed {
		return nil
	}
	i := slices.IndexFunc(d.readings, func(q *reading) bool {
		return q.cylinder() == r.cylinder() && q.by == r.by && q.analyser == r.analyser && q.value == r.value &&
			q.who != witnessed && !q.undone && !q.slip && !q.twice && near(q.taken.at, r.taken.at, twice) &&
			!d.happenedBetween(q, r)
	})
	if i < 0 {
		return nil
	}
	return d.readings[i]
}

// happenedBetween tells whether a fill, a change, a boat check or another cylinder lies
// between two numbers: then the second is a new one.
func (d *Day) happenedBetween(q, r *reading) bool {
	if d.voidedAfter(r.cylinder(), q.taken) || q.taken.before(r.place.since) {
		return true
	}
	v := d.dive(r.place.dive)
	return v != nil && slices.ContainsFunc(v.checks, func(m mark) bool {
		return q.n < m.n && m.n < r.n
	})
}

const twice = 2 * time.Minute

func near(a, b time.Time, less time.Duration) bool { return a.Sub(b).Abs() < less }

// "Where the shop's analyses of three or more cylinders of a trip are each 1.0 or more off the
// same way against their divers', a leader may set that series aside."
func (d *Day) setSeriesAside(s Said) {
	if !d.leader(s.By) {
		return
	}
	for _, way := range []float64{1, -1} {
		var off []*reading
		var cylinders []*body
		for _, r := range d.readings {
			if r.who == byShop && !r.undone && !r.slip && d.offFromDivers(r, way) {
				off = append(off, r)
				if !slices.Contains(cylinders, r.cylinder()) {
					cylinders = append(cylinders, r.cylinder())
				}
			}
		}
		if len(cylinders) < 3 {
			continue
		}
		for _, r := range off {
			if !r.aside {
				r.aside, r.asideAt = true, mark{s.At, d.count}
			}
		}
	}
}

// offFromDivers tells whether an analysis of the shop is 1.0 or more off, one way, against
// the diver's last reading of that filling. One said twice is one, and taken back as one.
func (d *Day) offFromDivers(r *reading, way float64) bool {
	b := r.cylinder()
	var last *reading
	for _, q := range d.readings {
		gone := q.undone || q.slip || q.twice || d.gone(q)
		if q.cylinder() == b && (q.who == byDiver || q.who == witnessed) && !gone {
			last = q
		}
	}
	return last != nil && !d.gone(r) && way*(r.value-last.value) >= 1-exactly
}

func ids(readings []*reading) []roster.ReadingID {
	var list []roster.ReadingID
	for _, r := range readings {
		list = append(list, r.id)
	}
	return list
}
