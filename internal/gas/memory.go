package gas

import (
	"slices"
	"time"
)

// Memory remembers what a check was last asked about one diver, for whoever
// keeps the verdict: asking again costs a comparison. Nobody has to tell it that
// something changed: it compares all that is given to a check. Its zero value
// remembers nothing and is ready.
type Memory struct {
	full   bool
	policy Policy
	diver  Diver
	now    time.Time
}

// Same tells whether Assess would say what it said when this was last asked,
// and remembers the question, with a copy of the diver.
func (m *Memory) Same(p Policy, d Diver, now time.Time) bool {
	if d.Dated() {
		now = time.Time{} // such a check doesn't look at the time
	}
	if m.full && m.policy == p && m.now.Equal(now) && m.diver.same(&d) {
		return true
	}
	m.full, m.policy, m.now = true, p, now
	m.diver.set(&d)
	return false
}

// set makes d a copy of e, in the room that its lists have.
func (d *Diver) set(e *Diver) {
	cylinders, past := d.Cylinders, d.Past
	*d = *e
	d.Cylinders, d.Past = setCylinders(cylinders, e.Cylinders), setCylinders(past, e.Past)
}

func setCylinders(room, cylinders []Cylinder) []Cylinder {
	room = slices.Grow(room[:0], len(cylinders))[:len(cylinders)]
	for i, c := range cylinders {
		c.Readings = append(room[i].Readings[:0], c.Readings...)
		room[i] = c
	}
	return room
}

// Dated tells whether every dive of the diver has a start. Then the check is
// the same whenever it is made: how old a reading is counts when its dive
// starts, and only without a start now (see rule stale).
func (d *Diver) Dated() bool {
	for i := range d.Cylinders {
		if d.Cylinders[i].Dive.Start.IsZero() {
			return false
		}
	}
	return true
}

// same tells whether two divers are the same to a check in every respect.
// TestEveryFieldOfADiverCounts fails for a field that is forgotten here.
func (d *Diver) same(e *Diver) bool {
	return d.Card == e.Card && d.DepthLimit == e.DepthLimit && d.SetDepth == e.SetDepth && d.OwnComputer == e.OwnComputer &&
		slices.EqualFunc(d.Cylinders, e.Cylinders, sameCylinders) && slices.EqualFunc(d.Past, e.Past, sameCylinders)
}

// sameCylinders compares times by their representation, which tells two apart
// that are equal rather than the other way round.
func sameCylinders(c, d Cylinder) bool {
	return c.Key == d.Key && c.Asked == d.Asked && c.Filled == d.Filled && c.Claims == d.Claims && c.Due == d.Due &&
		c.Replanned == d.Replanned && c.CO == d.CO && c.Dive == d.Dive && slices.Equal(c.Readings, d.Readings)
}
