package roster

import (
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// Record adds a reading to cylinder c. r carries Percent, At, Ref, By, Analyser;
// AirPoint and Weather when they were said with it; Witness when a leader names
// one, as from paper; Taken when leader or crew enter it from there; Entrant gas.ByShop for the
// shop. All else is set here. It returns nil for an unknown cylinder.
func (d *Draft) Record(c CylinderID, r Reading, now time.Time) *Reading {
	owner, cyl := d.Cylinder(c)
	if cyl == nil {
		return nil
	}
	r.Witness = d.witness(owner, cyl, &r)
	r.Entrant = d.entrant(owner, &r)
	if !d.staff(r.By) || r.Taken.IsZero() {
		r.Taken = r.At
	}
	r.Altitude = d.altitude(cyl)
	new := d.attach(c, r, now)
	new.Hurried = d.hurried(c, new)
	d.act(now, new.By, VerbReading, string(c), "", "reading", string(new.ID), "percent", percentText(new.Percent),
		"stage", new.Stage.String(), "analyser", new.Analyser, "entrant", string(new.Entrant), "witness", string(new.Witness))
	return new
}

// witness is who watched a reading: leader or crew who record for another diver,
// or whom a leader named before; with their own, or from paper, a leader names who
// watched.
func (d *Draft) witness(owner *Person, c *Cylinder, r *Reading) PersonID {
	switch {
	case r.Entrant == gas.ByShop || r.By == "":
		return ""
	case r.By != owner.ID && r.Witness != r.By && d.leads(r.By) && d.watches(r.Witness, owner.ID):
		return r.Witness
	case r.By != owner.ID && (d.staff(r.By) || r.By == c.NextWitness):
		return r.By
	case r.By == owner.ID && d.leads(r.By) && d.watches(r.Witness, owner.ID):
		return r.Witness
	}
	return ""
}

// entrant is who took a reading.
func (d *Draft) entrant(owner *Person, r *Reading) gas.Entrant {
	switch {
	case r.Witness != "":
		return gas.Witnessed
	case r.By == "":
		return gas.ByShop
	case r.By == owner.ID:
		return gas.ByDiver
	default:
		return gas.ByOther
	}
}

// NameWitness says that somebody's next number of a cylinder is one that they
// watched: with a witness named with the reading, the only way for a sole leader's
// own. Only a leader names one.
func (d *Draft) NameWitness(c CylinderID, witness, by PersonID, now time.Time) bool {
	owner, cyl := d.Cylinder(c)
	if cyl == nil || !d.leads(by) || !d.watches(witness, owner.ID) {
		return false
	}
	if cyl.NextWitness != witness {
		d.EditCylinder(c).NextWitness = witness
	}
	d.act(now, by, VerbWitness, string(c), "", "witness", string(witness))
	return true
}

// altitude is where a cylinder is analysed now: that of its dive.
func (d *Draft) altitude(c *Cylinder) float64 {
	if dive := d.Dive(c.Dive); dive != nil {
		return dive.Altitude
	}
	return 0
}

// attach gives r a number and its place on the cylinder.
func (d *Draft) attach(c CylinderID, r Reading, now time.Time) *Reading {
	cyl := d.EditCylinder(c)
	r.ID, r.Nth = d.newReading()
	r.Said, r.Dive, r.Stage = now, cyl.Dive, d.StageOf(cyl.Dive)
	if dive := d.Dive(r.Dive); dive != nil {
		r.Openings = len(dive.Boat)
	}
	r.Taken = r.taken()
	if r.At.IsZero() {
		r.At = now
	}
	if r.Analyser != "" {
		r.Analyser = d.analyser(r.Analyser).Name
	}
	d.air(&r)
	if r.Replaces == "" && r.By == cyl.NextWitness && r.By != "" {
		cyl = d.EditCylinder(c)
		cyl.NextWitness = ""
	}
	if r.Taken.Equal(r.At) {
		r.Taken = time.Time{}
	}
	cyl = d.EditCylinder(c)
	cyl.Readings = append(cyl.Readings, &r)
	return &r
}

// Confirm records the answer to "is that what the analyser showed?": of who said
// the number, or of leader or crew for somebody else. It returns false for anybody
// else.
func (d *Draft) Confirm(id ReadingID, s gas.Shown, by PersonID, now time.Time) bool {
	c, r := d.Reading(id)
	if r == nil {
		return false
	}
	owner, _ := d.Cylinder(c.ID)
	if by != r.By && (by == owner.ID || !d.staff(by)) {
		return false
	}
	_, r = d.once(c, r)
	id = r.ID
	if r.Shown != s && r.Shown != gas.ShownNoDecimal { // which no word takes back
		_, r = d.EditReading(id)
		r.Shown = s
		d.act(now, by, VerbConfirm, string(id), "", "shown", string(s))
	}
	return true
}

// MoveReading gives a reading to another cylinder of the same person ("sorry,
// 17 not 22"): taken back there, recorded here with its time. It returns nil when
// that can't be.
func (d *Draft) MoveReading(id ReadingID, to CylinderID, by PersonID, now time.Time) *Reading {
	from, r := d.Reading(id)
	if r == nil || from.ID == to || !r.Undone.IsZero() {
		return nil
	}
	owner, _ := d.Cylinder(from.ID)
	target, cyl := d.Cylinder(to)
	if cyl == nil || owner.ID != target.ID || !d.Undo(id, by, now) {
		return nil
	}
	moved := *r
	moved.Undone, moved.UndoneBy, moved.Slip, moved.Taken, moved.Replaces = evidence.Moment{}, "", false, r.taken(), ""
	new := d.attach(to, moved, now)
	new.Hurried = d.hurried(to, new)
	_, old := d.EditReading(id)
	old.MovedTo = new.ID
	d.act(now, by, VerbMove, string(to), "", "reading", string(new.ID), "from", string(from.ID), "percent",
		percentText(new.Percent))
	return new
}

// OnPaper tells whether a dive was led from paper: it was dived while no signature
// stood, and readings that were taken before it were entered after it had begun.
func (t *Trip) OnPaper(dive int, now time.Time) bool {
	if !t.WasDived(dive) || t.Signed(dive, now) {
		return false
	}
	began := t.Dive(dive).Outcome.Began
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				if r.Dive == dive && r.Witness != "" && r.When().Before(began) && !r.Said.Before(began) {
					return true
				}
			}
		}
	}
	return false
}
