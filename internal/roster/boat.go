package roster

import (
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// The answers to "was it out of your sight, relabelled or topped up since?".
const (
	Kept       = "kept"
	OutOfSight = "out-of-sight"
	Unsure     = "unsure"
)

// boatFresh is how old a reading may be at the boat check and still count for
// a cylinder that was never out of its diver's sight.
const boatFresh = 4 * time.Hour

// OpenBoat opens the boat check of the current dive. Opening it again changes
// nothing.
func (t *Trip) OpenBoat(by PersonID, now time.Time) {
	d := t.Dive(t.CurrentDive())
	if d == nil || !d.BoatOpen.IsZero() {
		return
	}
	d.BoatOpen = now
	t.followBoat()
	t.act(now, by, VerbBoat, "", "", "dive", strconv.Itoa(t.CurrentDive()))
}

// Attend records the answer to the boat question.
func (t *Trip) Attend(c CylinderID, answer string, by PersonID, now time.Time) {
	_, cyl := t.Cylinder(c)
	if cyl == nil {
		return
	}
	t.news(cyl.Dive, by, VerbAttend, now)
	cyl.Attended = Attended{Answer: answer, At: now, Dive: t.CurrentDive()}
	t.act(now, by, VerbAttend, string(c), "", "answer", answer)
}

// due is which reading a cylinder owes now. Only cylinders of the current dive
// owe anything more than a reading once the boat check is open.
func (t *Trip) due(c *Cylinder) gas.Due {
	current := t.CurrentDive()
	switch {
	case t.Stage() != gas.Boat || c.Dive != current || c.readAboard(current):
		return gas.DueAny
	case t.Policy.BoatCheck != gas.BoatCheckUnattended: // "all", and whatever is none of the two
		return gas.DueBoatReading
	case c.Attended.Answer == "" || c.Attended.Dive != current:
		return gas.DueBoatQuestion
	case c.Attended.Answer == Kept && c.freshAtCheck():
		return gas.DueAny
	default:
		return gas.DueBoatReading
	}
}

// readAboard tells whether a reading was taken in the boat check of dive n. The
// shop's own analysis stands in for nobody's.
func (c *Cylinder) readAboard(n int) bool {
	for _, r := range c.Valid() {
		if r.Stage == gas.Boat && r.Dive == n && r.Entrant != gas.ByShop {
			return true
		}
	}
	return false
}

// freshAtCheck tells whether the newest reading, the shop's aside, was young
// enough when the boat question was answered.
func (c *Cylinder) freshAtCheck() bool {
	valid := c.Valid()
	for i := len(valid) - 1; i >= 0; i-- {
		if r := valid[i]; r.Entrant != gas.ByShop {
			return c.Attended.At.Sub(r.taken()) <= boatFresh
		}
	}
	return false
}
