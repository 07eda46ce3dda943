package roster

import (
	"strconv"
	"time"
)

// The answers to "was it out of your sight, relabelled or topped up since?".
const (
	Kept       = "kept"
	OutOfSight = "out-of-sight"
	Unsure     = "unsure"
)

// OpenBoat opens the boat check of dive n, by a leader. Opened again, what came
// before is old.
func (d *Draft) OpenBoat(n int, by PersonID, now time.Time) bool {
	if d.Dive(n) == nil || !d.leads(by) {
		return false
	}
	dive := d.EditDive(n)
	dive.Boat = append(dive.Boat, Opening{Moment: d.moment(now), By: by, Start: d.Starts(n)})
	d.act(now, by, VerbBoat, "", "", "dive", strconv.Itoa(n))
	return true
}

// Attend records the answer to the boat question. What is none of the known
// answers counts as not sure. Its diver, a
// leader or crew may give it.
func (d *Draft) Attend(c CylinderID, answer string, by PersonID, now time.Time) {
	p, cyl := d.Cylinder(c)
	if cyl == nil || (by != p.ID && !d.staff(by)) {
		return
	}
	if answer != Kept && answer != OutOfSight {
		answer = Unsure
	}
	cyl = d.EditCylinder(c)
	cyl.Answers = append(cyl.Answers, Attended{Moment: d.moment(now), Answer: answer, By: by, Dive: cyl.Dive})
	d.act(now, by, VerbAttend, string(c), "", "answer", answer)
}
