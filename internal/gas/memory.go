package gas

import (
	"slices"
	"time"
)

// Memory keeps the last verdict of one diver: asking again for the same costs a
// comparison. Nobody has to tell it that something changed: it compares all
// that was given to the check. Its zero value is empty and ready.
type Memory struct {
	full    bool
	policy  Policy
	diver   Diver
	now     time.Time
	verdict Verdict
}

// Assess is the check by this memory; same tells whether nothing has changed
// since it was last asked. The verdict is shared with the memory, and the
// memory keeps the diver: neither may be written to.
func (m *Memory) Assess(p Policy, d Diver, now time.Time) (v Verdict, same bool) {
	if d.Dated() {
		now = time.Time{} // such a check doesn't look at the time
	}
	if m.full && m.policy == p && m.now.Equal(now) && m.diver.same(&d) {
		return m.verdict, true
	}
	*m = Memory{full: true, policy: p, diver: d, now: now, verdict: Assess(p, d, now)}
	return m.verdict, false
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
