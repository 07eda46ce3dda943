package roster

import (
	"time"

	"gasmuster/internal/gas"
)

// hurry is how close together two messages on one analyser are too quick for
// both to be readings: an analyser needs 15 to 30 s until it is stable. Common
// practice, no source.
const hurry = 15 * time.Second

// Record adds a reading to cylinder c. r carries Percent, At, Ref, By,
// Entrant, Analyser, Calibrated; ID, Stage, Dive, AirPoint, Hurried, Taken and
// Replaces (the last reading taken back since the fill and at this stage) are
// set here. News on a signed dive reopens it. It returns nil for an unknown
// cylinder.
func (t *Trip) Record(c CylinderID, r Reading, now time.Time) *Reading {
	_, cyl := t.Cylinder(c)
	if cyl == nil {
		return nil
	}
	t.news(cyl.Dive, r.By, VerbReading, now)
	r.Stage, r.Dive, r.Taken = t.Stage(), t.CurrentDive(), now
	r.Entrant = entrant(r)
	new := t.attach(cyl, r, now)
	t.act(now, new.By, VerbReading, string(c), "", "reading", string(new.ID), "percent", percentText(new.Percent),
		"stage", new.Stage.String(), "analyser", new.Analyser, "entrant", string(new.Entrant), "replaces", string(new.Replaces))
	return new
}

// entrant is who took a reading when the caller didn't say.
func entrant(r Reading) gas.Entrant {
	switch {
	case r.Entrant != "":
		return r.Entrant
	case r.By == "":
		return gas.ByShop
	default:
		return gas.ByDiver
	}
}

// attach gives r a number and its place on the cylinder. An entry that follows
// one taken back is its correction, however much time lies between.
func (t *Trip) attach(cyl *Cylinder, r Reading, now time.Time) *Reading {
	r.ID = t.newReading()
	r.Replaces, r.ReplacedBy, r.MovedTo = "", "", ""
	if r.AirPoint == 0 {
		r.AirPoint = t.airPoint(r.Analyser)
	}
	if old := cyl.takenBack(r.Stage); old != nil {
		r.Replaces, old.ReplacedBy = old.ID, r.ID
	}
	if r.Replaces == "" {
		r.Hurried = r.Hurried || t.hurried(&r)
	}
	cyl.Readings = append(cyl.Readings, &r)
	return &r
}

// takenBack is the last reading of a stage that was taken back since the fill
// and has nothing in its place yet.
func (c *Cylinder) takenBack(s gas.Stage) *Reading {
	filled := c.Filled().At
	for i := len(c.Readings) - 1; i >= 0; i-- {
		r := c.Readings[i]
		if !r.Undone.IsZero() && r.Stage == s && r.MovedTo == "" && r.ReplacedBy == "" && r.counts(filled) {
			return r
		}
	}
	return nil
}

// hurried tells whether r came too soon before or after another message on the
// same analyser (or, where one of them names none, by the same person), by the
// sender's clock. Several values in one message were collected before sending;
// what was taken back was no reading.
func (t *Trip) hurried(r *Reading) bool {
	for o := range t.readings() {
		if o.ID == r.ID || o.Ref == r.Ref || !o.Undone.IsZero() || o.At.Sub(r.At).Abs() >= hurry {
			continue
		}
		if o.Analyser != "" && r.Analyser != "" {
			if sameAnalyser(o.Analyser, r.Analyser) {
				return true
			}
			continue
		}
		if o.By == r.By {
			return true
		}
	}
	return false
}

// Correct replaces a reading by another value; the old one stays as undone. A
// correction is of the same analysis: it keeps stage, analyser and age, and the
// ref of the message. at is when the correction was sent. Of a reading that was
// replaced before, what stands in its place is corrected. The same value again
// changes nothing. It returns nil when the reading is unknown.
func (t *Trip) Correct(id ReadingID, p gas.Percent, by PersonID, at, now time.Time) *Reading {
	c, old := t.Reading(id)
	if old == nil {
		return nil
	}
	if r := c.replacement(old); r != nil {
		old = r
	}
	if old.Undone.IsZero() && old.Percent == p {
		return old
	}
	t.news(c.Dive, by, VerbCorrect, now)
	if old.Undone.IsZero() {
		old.Undone, old.UndoneBy = now, by
	}
	new := *old
	new.ID, new.Percent, new.At, new.By = t.newReading(), p, at, by
	new.Entrant = t.corrector(old, by)
	new.Undone, new.UndoneBy, new.ReplacedBy, new.MovedTo = time.Time{}, "", "", ""
	new.Shown, new.Hurried, new.Replaces, new.Taken = gas.ShownUnasked, false, old.ID, old.taken()
	old.ReplacedBy = new.ID
	c.Readings = append(c.Readings, &new)
	t.act(now, by, VerbCorrect, string(c.ID), "", "reading", string(new.ID), "replaces", string(old.ID),
		"was", percentText(old.Percent), "now", percentText(p))
	return &new
}

// corrector is who a corrected value comes from. What a leader watched stays
// witnessed only when a leader corrects it.
func (t *Trip) corrector(old *Reading, by PersonID) gas.Entrant {
	if p := t.Person(by); old.Entrant == gas.Witnessed && (p == nil || !p.Leader) {
		return gas.ByDiver
	}
	return old.Entrant
}

// Undo takes a reading back. It returns false when it was undone before. Where
// another reading of the cylinder still counts, that one now stands in its
// place, so that taking back the worse of two readings is a correction like any
// other.
func (t *Trip) Undo(id ReadingID, by PersonID, now time.Time) bool {
	c, r := t.Reading(id)
	if r == nil || !r.Undone.IsZero() {
		return false
	}
	t.news(c.Dive, by, VerbUndo, now)
	r.Undone, r.UndoneBy = now, by
	if other := c.Current(); other != nil && r.counts(c.Filled().At) {
		r.ReplacedBy = other.ID
	}
	t.act(now, by, VerbUndo, string(c.ID), "", "reading", string(id), "was", percentText(r.Percent))
	return true
}

// MoveReading gives a reading to another cylinder of the same person ("sorry,
// 17 not 22"): undone there, recorded here. It returns nil when that can't be.
func (t *Trip) MoveReading(id ReadingID, to CylinderID, by PersonID, now time.Time) *Reading {
	from, r := t.Reading(id)
	if r == nil || from.ID == to || !r.Undone.IsZero() {
		return nil
	}
	owner, _ := t.Cylinder(from.ID)
	target, cyl := t.Cylinder(to)
	if cyl == nil || owner != target {
		return nil
	}
	t.news(from.Dive, by, VerbMove, now)
	t.news(cyl.Dive, by, VerbMove, now)
	r.Undone, r.UndoneBy = now, by
	moved := *r
	moved.Undone, moved.UndoneBy, moved.Void, moved.Taken = time.Time{}, "", time.Time{}, r.taken()
	new := t.attach(cyl, moved, now)
	r.MovedTo = new.ID
	t.act(now, by, VerbMove, string(to), "", "reading", string(new.ID), "from", string(from.ID), "percent", percentText(new.Percent))
	return new
}

// Confirm records the answer to "is that what the analyser showed?".
func (t *Trip) Confirm(id ReadingID, s gas.Shown, by PersonID, now time.Time) {
	c, r := t.Reading(id)
	if r == nil || r.Shown == s {
		return
	}
	t.news(c.Dive, by, VerbConfirm, now)
	r.Shown = s
	t.act(now, by, VerbConfirm, string(id), "", "shown", string(s))
}
