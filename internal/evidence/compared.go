package evidence

import (
	"math"

	"gasmuster/internal/gas"
)

// 3. Compared. A new reading is compared with each reading since the last fill,
// whether it still counts or not. Unsettled ends only with a watched reading on
// a calibrated analyser.

// bounds are how far two readings may lie apart, in points: from note on it is
// remarked, beyond settle it has to be settled. Common practice, no source.
type bounds struct{ note, settle float64 }

var (
	sameBounds  = bounds{note: 0.5, settle: 1}
	otherBounds = bounds{note: 1, settle: 2}
)

// within is how far from a settling reading the others may lie and still count.
const within = 1.0

// dispute is two readings that lie beyond their bound.
type dispute struct {
	a, b *Reading
	by   *Reading // that settled it, nil while it is open
}

// boundsOf are those of two readings. An analyser that was not named may be the
// same one.
func boundsOf(a, b *Reading) bounds {
	switch {
	case a.shop() && b.shop():
		return sameBounds
	case a.shop() != b.shop():
		return otherBounds
	case a.Analyser != "" && b.Analyser != "" && a.Analyser != b.Analyser:
		return otherBounds
	}
	return sameBounds
}

func apart(a, b *Reading) float64 { return math.Abs(float64(a.Percent - b.Percent)) }

// compare holds a new reading against those before it.
func (f *finder) compare(r *Reading) {
	for i := range f.items {
		it := &f.items[i]
		if it.compared && it.aside == 0 && over(apart(it.r, r), boundsOf(it.r, r).settle) {
			f.disputes = append(f.disputes, dispute{a: it.r, b: r})
		}
	}
}

// unsettled tells whether some dispute is open.
func (f *finder) unsettled() bool {
	for i := range f.disputes {
		if f.disputes[i].by == nil {
			return true
		}
	}
	return false
}

// settles tells whether a reading can settle: somebody without a part in the
// cylinder watched it, on a calibrated analyser, it puts no number right and was not
// taken back.
func (f *finder) settles(r *Reading) bool {
	state := airPointOf(r).State
	return f.h.seen(r) && r.Puts == "" && r.Undone.IsZero() && (state == gas.AirPointFits || state == gas.AirPointLow)
}

// settle ends what is in dispute: what lies near the new reading counts, the
// others are set aside. The reading itself is none of those that disagreed. What
// came in by a label that was put right since is open. Of the shop's series, which is
// not compared, it settles nothing.
func (f *finder) settle(r *Reading) {
	settles := false
	for i := range f.disputes {
		if d := &f.disputes[i]; d.by == nil && f.about(*d, r) {
			d.by, settles = r, true
		}
	}
	if !settles {
		return
	}
	f.settled = true
	for i := range f.items {
		it := &f.items[i]
		if it.aside == 0 && !it.r.Aside && f.before(it.r, r) && over(apart(it.r, r), within) {
			it.aside = r.Nth
		}
	}
	for i := range f.disputes {
		if d := &f.disputes[i]; d.by == nil && (f.setAside(d.a) || f.setAside(d.b)) {
			d.by = r
		}
	}
}

// about tells whether a dispute was known to be about the cylinder of a reading, and
// was there when that was taken.
func (f *finder) about(d dispute, r *Reading) bool { return f.before(d.a, r) && f.before(d.b, r) }

// before tells whether a reading was taken before another of a cylinder that was known to
// be the same then.
func (f *finder) before(o, r *Reading) bool {
	return f.h.known(o.Place, r) && o.moment().Before(r.moment())
}

// forget drops the disputes about a reading.
func (f *finder) forget(r *Reading) {
	kept := f.disputes[:0]
	for _, d := range f.disputes {
		if d.a != r && d.b != r {
			kept = append(kept, d)
		}
	}
	f.disputes = kept
}

// compared says what all compared readings come to.
func (f *finder) compared(e *gas.Evidence) {
	e.Compared = make([]gas.Value, 0, len(f.items))
	for i := range f.items {
		if it := &f.items[i]; it.compared && it.aside == 0 {
			f.include(f.value(it.r), e)
			f.farthest(i, e)
		}
	}
	e.Unsettled = f.unsettled()
	e.Settled = f.settled && !e.Unsettled
}

func (f *finder) include(v gas.Value, e *gas.Evidence) {
	if len(e.Compared) == 0 {
		e.Rich, e.Lean, e.Dry = v.Rich, v.Lean, v.Dry
	}
	e.Rich, e.Lean, e.Dry = max(e.Rich, v.Rich), min(e.Lean, v.Lean), min(e.Dry, v.Dry)
	e.Compared = append(e.Compared, v)
}

// farthest keeps the two readings that lie farthest apart against their bound.
func (f *finder) farthest(i int, e *gas.Evidence) {
	r := f.items[i].r
	for j := range i {
		it := &f.items[j]
		if !it.compared || it.aside != 0 {
			continue
		}
		b, points := boundsOf(it.r, r), apart(it.r, r)
		if !e.Apart.Known || points/b.settle > e.Apart.Points/e.Apart.Settle {
			e.Apart = gas.Apart{Known: true, Points: points, Note: b.note, Settle: b.settle, Earlier: it.r.Percent,
				Later: r.Percent}
		}
	}
}
