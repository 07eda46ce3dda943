package roster

import (
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// SetLabel puts a label on a cylinder. Two divers may claim one label: that is
// the rule same-cylinder's business.
func (t *Trip) SetLabel(c CylinderID, label string, by PersonID, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil || cyl.Label == label {
		return
	}
	t.news(cyl.Dive, by, VerbLabel, now)
	was := cyl.Label
	cyl.Label = label
	t.act(now, by, VerbLabel, string(c), "", "was", was, "now", label)
}

// SetAsked changes a request; the earlier one is kept. A plan made again with a
// measured value was made for the earlier request.
func (t *Trip) SetAsked(c CylinderID, p gas.Percent, by PersonID, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil || cyl.Asked == p {
		return
	}
	t.news(cyl.Dive, by, VerbAsked, now)
	was := cyl.Asked
	cyl.Changed = append(cyl.Changed, Asked{Was: was, By: by, At: now, AfterLock: !t.FillLocked.IsZero()})
	cyl.Asked, cyl.Replanned = p, nil
	t.act(now, by, VerbAsked, string(c), "", "was", percentText(was), "now", percentText(p))
}

// LockFills closes the fill list: requests change no more with a tap.
func (t *Trip) LockFills(by PersonID, now time.Time) {
	if t.FillLocked.IsZero() {
		t.FillLocked = now
		t.act(now, by, VerbLock, "", "")
	}
}

// Fill notes a fill or top-up: all readings taken before it are void, and what
// was answered or planned with them counts no more. A fill is never later than
// now. One that is of now comes after everything noted so far, also after what
// was noted before the clock was set back and so seems to lie ahead.
func (t *Trip) Fill(c CylinderID, at time.Time, by PersonID, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil {
		return
	}
	ofNow := at.IsZero() || !at.Before(now)
	if ofNow {
		at = now
		cyl.fillsBy(now)
		if cyl.CO != nil && cyl.CO.At.After(now) {
			cyl.CO.At = now
		}
	}
	t.news(cyl.Dive, by, VerbFill, now)
	cyl.Fills = append(cyl.Fills, Fill{At: at, By: by})
	for _, r := range cyl.Readings {
		if r.Void.IsZero() && (ofNow || !r.taken().After(at)) {
			r.Void = at
		}
	}
	cyl.Attended, cyl.Replanned = Attended{}, nil
	t.act(now, by, VerbFill, string(c), "", "at", timeText(at))
}

// fillsBy brings fills that lie ahead to now: a fill is never later, unless the
// clock was set back since.
func (c *Cylinder) fillsBy(now time.Time) {
	for i := range c.Fills {
		if c.Fills[i].At.After(now) {
			c.Fills[i].At = now
		}
	}
}

// Swap retires a cylinder and gives its person a new one for the same dive and
// request, without label and readings. It returns nil when the cylinder is
// unknown or retired before.
func (t *Trip) Swap(c CylinderID, by PersonID, reason string, now time.Time) *Cylinder {
	p, old := t.Cylinder(c)
	if old == nil || !old.Retired.IsZero() {
		return nil
	}
	t.news(old.Dive, by, VerbSwap, now)
	old.Retired = now
	new := &Cylinder{ID: t.newCylinder(), Asked: old.Asked, Dive: old.Dive, Owner: old.Owner, Added: now}
	p.Cylinders = append(p.Cylinders, new)
	t.act(now, by, VerbSwap, string(c), reason, "new", string(new.ID))
	return new
}

// Retire takes a cylinder out of use without another in its place. A diver left
// without any cylinder is no reading.
func (t *Trip) Retire(c CylinderID, by PersonID, reason string, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil || !cyl.Retired.IsZero() {
		return
	}
	t.news(cyl.Dive, by, VerbRetire, now)
	cyl.Retired = now
	t.act(now, by, VerbRetire, string(c), reason)
}

// AddCylinder gives a person one more cylinder for a dive; nil for an unknown
// person or dive.
func (t *Trip) AddCylinder(p PersonID, dive int, asked gas.Percent, by PersonID, now time.Time) *Cylinder {
	person := t.Person(p)
	if person == nil || t.Dive(dive) == nil {
		return nil
	}
	t.news(dive, by, VerbCylinder, now)
	c := &Cylinder{ID: t.newCylinder(), Dive: dive, Asked: asked, Added: now}
	person.Cylinders = append(person.Cylinders, c)
	t.act(now, by, VerbCylinder, string(c.ID), "", "person", string(p), "dive", strconv.Itoa(dive), "asked", percentText(asked))
	return c
}

// Replan records that diver and leader planned again with the measured value.
func (t *Trip) Replan(c CylinderID, by PersonID, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil || cyl.Replanned != nil {
		return
	}
	t.news(cyl.Dive, by, VerbReplan, now)
	cyl.Replanned = &Replanned{By: by, At: now}
	t.act(now, by, VerbReplan, string(c), "")
}
