package evidence

import (
	"slices"

	"gasmuster/internal/gas"
)

// 6. Fills. A fill by somebody else than its diver takes all readings away. One
// that only its diver reports voids them for counting, and they stay compared
// until a watched reading on a calibrated analyser.

// filled is a fill of the cylinder. Of a place that was not yet known to have
// the same cylinder it only voids for counting.
func (f *finder) filled(l *Fill) {
	for i := range f.items {
		it := &f.items[i]
		if !l.Dated || !l.At.Before(it.r.Taken) {
			it.void = gas.AbsentRefilled
			if l.Own && f.h.joined(l.Place, it.r.Place, l.Nth) {
				it.ownFill = l.Nth
			}
		}
	}
	if l.Own {
		return
	}
	f.ends = append(f.ends, end{l.Moment, l.Place})
	f.drop(func(it *item) bool { return it.void == gas.AbsentRefilled && f.h.joined(l.Place, it.r.Place, l.Nth) })
}

// endOwnFills: a watched reading on a calibrated analyser shows what the diver's
// own fill left.
func (f *finder) endOwnFills(r *Reading) {
	for i := range f.h.Fills {
		if l := &f.h.Fills[i]; l.Own && l.Nth < r.Nth && f.h.known(l.Place, r) {
			f.ends = append(f.ends, end{l.Moment, l.Place})
		}
	}
	f.drop(func(it *item) bool { return it.ownFill != 0 && f.h.known(it.r.Place, r) })
}

// drop takes readings away, with what was in dispute about them.
func (f *finder) drop(these func(*item) bool) {
	if slices.ContainsFunc(f.items, func(it item) bool { return it.r.Slip && these(&it) }) {
		f.lost = append(f.lost, f.slips().was...)
	}
	f.items = slices.DeleteFunc(f.items, func(it item) bool {
		gone := these(&it)
		if gone {
			f.dropped = true
			f.forget(it.r)
		}
		return gone
	})
}

// voided is a "changed" or "not sure": what was read before counts no more, and
// stays compared.
func (f *finder) voided() {
	for i := range f.items {
		if f.items[i].void == 0 {
			f.items[i].void = gas.AbsentChanged
		}
	}
}

// end is a fill that took away what was found before, of a place.
type end struct {
	Moment
	place string
}

// ended tells whether a fill came after a measurement of carbon monoxide, of a
// cylinder that was known to be the same.
func (f *finder) ended(m *Monoxide) bool {
	return slices.ContainsFunc(f.ends, func(e end) bool {
		return m.Before(e.Moment) &&
			f.h.joined(e.place, m.Place, e.Nth)
	})
}

// monoxide is the highest that was measured since the fill.
func (f *finder) monoxide() gas.Amount {
	var highest gas.Amount
	for i := range f.h.COs {
		if m := &f.h.COs[i]; !f.ended(m) && (!highest.Known || m.PPM > highest.Value) {
			highest = gas.Of(m.PPM)
		}
	}
	return highest
}
