package roster

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// SetLabel puts a label on a cylinder. Whatever carried it before is the same
// cylinder; the label that it had stays one of its names. Two divers may claim one
// label: that is the rule same-cylinder's business. Whose label is put right from
// one that somebody else claims analyses again. Its diver, the shop, leader or
// crew may; it returns false for anybody else.
func (d *Draft) SetLabel(c CylinderID, label string, by PersonID, now time.Time) bool {
	p, cyl := d.Cylinder(c)
	if cyl == nil || !d.handles(by, p.ID) {
		return false
	}
	if cyl.Label == label {
		return true
	}
	was, contested := cyl.Label, d.contested(p, cyl)
	at := d.moment(now)
	cyl = d.EditCylinder(c)
	cyl.call(label, at)
	if contested {
		cyl.Afresh = at
	}
	d.act(now, by, VerbLabel, string(c), "", "was", was, "now", label)
	return true
}

// contested tells whether somebody else says that a cylinder is theirs, on a dive that it
// is for or that it left its findings on.
func (d *Draft) contested(p *Person, c *Cylinder) bool {
	for n := range d.Dives {
		if !c.stands(n+1) && !c.leftBehind(n+1) {
			continue
		}
		if slices.ContainsFunc(d.Claimants(c.Label, n+1), func(o *Person) bool { return o.ID != p.ID }) {
			return true
		}
	}
	return false
}

// handles tells whether somebody may say what becomes of a cylinder of p: its
// diver, the shop, leader or crew.
func (d *Draft) handles(by, p PersonID) bool { return by == p || d.staffOther(by, p) }

// call gives a cylinder a label and keeps when it was known by which.
func (c *Cylinder) call(label string, at evidence.Moment) {
	if len(c.Labels) == 0 && c.Label != "" {
		c.Labels = append(c.Labels, Labelling{c.Added, c.Label})
	}
	c.Label = label
	if label != "" {
		c.Labels = append(c.Labels, Labelling{at, label})
	}
}

// calledSince is since when a cylinder is called by a label, else the moment given:
// what has the label of what stood there before is the same cylinder.
func (c *Cylinder) calledSince(label string, at evidence.Moment) evidence.Moment {
	for _, tag := range c.tags(nil, nil) {
		if tag.key == labelKey(label) {
			return tag.from
		}
	}
	return at
}

// SetAsked changes a request; the earlier one is kept and still weighs on
// numbers that were said while it held.
func (d *Draft) SetAsked(c CylinderID, p gas.Percent, by PersonID, now time.Time) {
	_, cyl := d.Cylinder(c)
	if cyl == nil || cyl.Asked == p {
		return
	}
	was := cyl.Asked
	cyl = d.EditCylinder(c)
	cyl.Changed = append(cyl.Changed, Asked{Moment: d.moment(now), Was: was, By: by, AfterLock: !d.FillLocked.IsZero()})
	cyl.Asked = p
	d.act(now, by, VerbAsked, string(c), "", "was", percentText(was), "now", percentText(p))
}

// LockFills closes the fill list: requests change no more with a tap.
func (d *Draft) LockFills(by PersonID, now time.Time) {
	if d.FillLocked.IsZero() {
		d.EditCourse().FillLocked = now
		d.act(now, by, VerbLock, "", "")
	}
}

// Fill notes a fill or top-up. at is when it was filled, if that was before now;
// zero is now. One that only a diver of the cylinder reports voids its readings
// for counting, and they stay compared.
func (d *Draft) Fill(c CylinderID, at time.Time, by PersonID, now time.Time) {
	_, cyl := d.Cylinder(c)
	if cyl == nil {
		return
	}
	f := Fill{Moment: d.moment(now), By: by, Own: d.ownFill(c, by)}
	if !at.IsZero() && at.Before(now) {
		f.At, f.Dated = at, true
	}
	cyl = d.EditCylinder(c)
	cyl.Fills, cyl.Replanned = append(cyl.Fills, f), nil
	d.act(now, by, VerbFill, string(c), "", "at", timeText(f.At))
}

// ownFill tells whether a fill is only a diver's word: not the shop's, nor that
// of leader or crew without a part in the cylinder.
func (d *Draft) ownFill(c CylinderID, by PersonID) bool {
	if by == "" {
		return false
	}
	owner, cyl := d.Cylinder(c)
	ph := d.atRest().physical(owner, cyl)
	return !d.staff(by) || slices.ContainsFunc(ph.parts, func(p part) bool { return p.owner.ID == by })
}

// Swap puts another cylinder into a cylinder's place, for the same dive and
// request, with a label or ("") none yet. It returns nil when the cylinder is
// unknown or retired or its dive was dived, when by is nobody who may, or when its own diver gives no
// other label after a no-go or an unsettled reading.
func (d *Draft) Swap(c CylinderID, label string, by PersonID, reason string, now time.Time) *Cylinder {
	p, old := d.Cylinder(c)
	if old == nil || !old.Retired.IsZero() || d.WasDived(old.Dive) || !d.maySwap(p, old, label, by, now) {
		return nil
	}
	at := d.moment(now)
	old = d.EditCylinder(c)
	old.Retired, old.Swapped = now, true
	new := &Cylinder{ID: d.newCylinder(), Place: old.At(), Asked: old.Asked, Dive: old.Dive, Owner: old.Owner, Added: at,
		Changed: slices.Clone(old.Changed)}
	new.call(label, old.calledSince(label, at))
	p = d.Edit(p.ID)
	p.Cylinders = append(p.Cylinders, new)
	d.act(now, by, VerbSwap, string(c), reason, "new", string(new.ID), "label", label)
	return new
}

// maySwap: after a no-go or unsettled its diver needs a different label, by which nobody calls the cylinder.
func (d *Draft) maySwap(p *Person, c *Cylinder, label string, by PersonID, now time.Time) bool {
	if by != p.ID {
		return d.staffOther(by, p.ID)
	}
	if !d.breaksRule(p, c, now) && !d.unsettled(c, now) {
		return true
	}
	key := labelKey(label)
	return key != "" && !d.atRest().physical(p, c).called(key)
}

// breaksRule tells whether its diver is no-go on a dive that the cylinder is for or left its
// findings on.
func (d *Draft) breaksRule(p *Person, c *Cylinder, now time.Time) bool {
	l := d.reading(now)
	for n := range d.Dives {
		if (c.stands(n+1) || c.leftBehind(n+1)) && !d.WasDived(n+1) && l.ruled(p, n+1) == gas.NoGo {
			return true
		}
	}
	return false
}

// Retire takes a cylinder out of use without another in its place. By its diver
// or the shop what was found stays on its dive until a leader confirms it. It
// returns false when nobody may, or its dive was dived.
func (d *Draft) Retire(c CylinderID, by PersonID, reason string, now time.Time) bool {
	p, cyl := d.Cylinder(c)
	if cyl == nil || !cyl.Retired.IsZero() || !d.handles(by, p.ID) || d.WasDived(cyl.Dive) {
		return false
	}
	m := Move{Moment: d.moment(now), From: cyl.Dive, By: by}
	if d.leadsOther(by, p.ID) {
		m.Confirmed = by
	}
	cyl = d.EditCylinder(c)
	cyl.Retired, cyl.Moves = now, append(cyl.Moves, m)
	d.act(now, by, VerbRetire, string(c), reason)
	return true
}

// MoveCylinder takes a cylinder to another dive. By a leader who is not its
// diver it is done with; else what was found stays behind, and what was read
// does not count on the other dive, until such a leader confirms it.
func (d *Draft) MoveCylinder(c CylinderID, dive int, by PersonID, now time.Time) bool {
	p, cyl := d.Cylinder(c)
	if cyl == nil || !cyl.Retired.IsZero() || !d.handles(by, p.ID) {
		return false
	}
	if d.Dive(dive) == nil || cyl.Dive == dive || d.WasDived(cyl.Dive) {
		return false
	}
	m := Move{Moment: d.moment(now), From: cyl.Dive, To: dive, By: by}
	if d.leadsOther(by, p.ID) {
		m.Confirmed = by
	}
	cyl = d.EditCylinder(c)
	cyl.Dive, cyl.Moves = dive, append(cyl.Moves, m)
	d.act(now, by, VerbMoveCylinder, string(c), "", "from", strconv.Itoa(m.From), "to", strconv.Itoa(dive))
	return true
}

// ConfirmMoved is a leader's word that a cylinder is not dived on the dive that
// it came from.
func (d *Draft) ConfirmMoved(c CylinderID, dive int, by PersonID, now time.Time) bool {
	p, cyl := d.Cylinder(c)
	if cyl == nil || !d.leadsOther(by, p.ID) ||
		!slices.ContainsFunc(cyl.Moves, func(m Move) bool { return m.From == dive && m.Confirmed == "" }) {
		return false
	}
	cyl = d.EditCylinder(c)
	at := d.moment(now)
	for i := range cyl.Moves {
		if m := &cyl.Moves[i]; m.From == dive && m.Confirmed == "" {
			m.Confirmed, m.ConfirmedAt = by, at
		}
	}
	d.act(now, by, VerbNotUsed, string(c), "", "dive", strconv.Itoa(dive))
	return true
}

// AddCylinder gives a person one more cylinder for a dive, with a label or ("")
// none yet; nil for an unknown person or dive.
func (d *Draft) AddCylinder(p PersonID, dive int, asked gas.Percent, label string, by PersonID,
	now time.Time) *Cylinder {
	if d.Person(p) == nil || d.Dive(dive) == nil {
		return nil
	}
	at := d.moment(now)
	c := &Cylinder{ID: d.newCylinder(), Dive: dive, Asked: asked, Added: at}
	c.call(label, at)
	person := d.Edit(p)
	person.Cylinders = append(person.Cylinders, c)
	d.act(now, by, VerbCylinder, string(c.ID), "", "person", string(p), "dive", strconv.Itoa(dive), "asked",
		percentText(asked))
	return c
}

// Replan records that it was planned again for the values that count now: a
// leader's word, who is not the cylinder's diver. It returns false when nobody
// may, or when nothing counts that it could stand for.
func (d *Draft) Replan(c CylinderID, by PersonID, now time.Time) bool {
	p, cyl := d.Cylinder(c)
	if cyl == nil || !d.leadsOther(by, p.ID) {
		return false
	}
	l := d.reading(now)
	e, ph := l.find(p, cyl, cyl.Dive)
	if !e.Counts() {
		return false
	}
	k := l.question(p, cyl, cyl.Dive, ph)
	values := evidence.Held(&ph.all, &k)
	if cyl.Replanned == nil || !slices.Equal(cyl.Replanned.Values, values) {
		d.EditCylinder(c).Replanned = &Replanned{Moment: d.moment(now), By: by, Values: values}
	}
	d.act(now, by, VerbReplan, string(c), "")
	return true
}
