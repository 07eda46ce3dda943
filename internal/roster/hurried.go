package roster

import (
	"iter"
	"time"
)

// settling is how close together two messages on one analyser are too quick for
// both to be readings: an analyser needs 15 to 30 s until it is stable. Common
// practice, no source.
const settling = 15 * time.Second

// hurried tells whether r came too soon after or before a number of another cylinder
// in another message, on the same analyser or by the same person, by when they were
// taken: the one said later is asked. Several values in one message were collected
// before sending.
func (d *Draft) hurried(c CylinderID, r *Reading) bool {
	for range d.quick(c, r) {
		return true
	}
	return false
}

// quick are the readings of other cylinders (two places of one label are one) that lie closer to r than an analyser
// settles.
func (d *Draft) quick(c CylinderID, r *Reading) iter.Seq[*Reading] {
	return func(yield func(*Reading) bool) {
		for o := range d.readings() {
			if o.taken().Sub(r.taken()).Abs() >= settling || (o.Ref == r.Ref && r.Ref != "") {
				continue
			}
			if (sameAnalyser(o.Analyser, r.Analyser) || (o.By == r.By && r.By != "")) && !d.ofOne(c, o, r) && !yield(o) {
				return
			}
		}
	}
}

// ofOne tells whether a reading is of a cylinder, wherever that stood, as it was known when another of that was taken.
func (d *Draft) ofOne(c CylinderID, o, r *Reading) bool {
	of, _ := d.Reading(o.ID)
	if of.ID == c {
		return true
	}
	owner, mine := d.Cylinder(c)
	since := d.atRest().physical(owner, mine).joined(string(c), string(of.ID))
	return r.Nth > since.Nth && !r.taken().Before(since.At)
}
