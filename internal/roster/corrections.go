package roster

import (
	"math"
	"slices"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// Undo takes a reading back: whoever said it, or leader and crew. Within two
// minutes and before another reading of a settled cylinder it was a slip of who
// said it; any other stays compared. It returns false when nobody may, or when
// it was undone before.
func (d *Draft) Undo(id ReadingID, by PersonID, now time.Time) bool {
	c, r := d.Reading(id)
	if r == nil || !d.mayUndo(c, r, by) {
		return false
	}
	if c, r = d.once(c, r); !r.Undone.IsZero() {
		return false
	}
	slip := by == r.By && now.Sub(r.Said) <= undoWithin && !d.WasDived(c.Dive) && !d.readAfter(c, r) &&
		!d.unsettled(c, now)
	lost := d.losesNoGo(c.ID, now, func() {
		d.takeBack(r.ID, slip, by, now)
		d.act(now, by, VerbUndo, string(c.ID), "", "reading", string(r.ID), "was", percentText(r.Percent))
	})
	d.cameOf(r.ID, slip && lost, slip && d.beside(c, r, now))
	return true
}

// mayUndo: who said it, or leader and crew for somebody else's cylinder.
func (d *Draft) mayUndo(c *Cylinder, r *Reading, by PersonID) bool {
	owner, _ := d.Cylinder(c.ID)
	return by == r.By || by != owner.ID && d.staff(by)
}

// undoWithin is how soon a number taken back was a slip.
const undoWithin = 2 * time.Minute

func (d *Draft) takeBack(id ReadingID, slip bool, by PersonID, now time.Time) {
	_, r := d.EditReading(id)
	r.Undone, r.UndoneBy, r.Slip = d.moment(now), by, slip
}

// cameOf notes of a slip whether a no-go went with it, and whether another number stood by it.
func (d *Draft) cameOf(slip ReadingID, stops, beside bool) {
	if _, r := d.Reading(slip); r.Stops != stops || r.Beside != beside {
		_, r = d.EditReading(slip)
		r.Stops, r.Beside = stops, beside
	}
}

// losesNoGo tells whether a change takes a no-go away from somebody who has a cylinder, by whatever rule, on any
// dive: it may be breathed before.
func (d *Draft) losesNoGo(c CylinderID, now time.Time, change func()) bool {
	before := d.noGosWith(c, now)
	change()
	if len(before) == 0 {
		return false
	}
	after := d.noGosWith(c, now)
	return slices.ContainsFunc(before, func(s stop) bool { return !slices.Contains(after, s) })
}

// stop is a rule that somebody breaks on a dive.
type stop struct {
	person PersonID
	dive   int
	rule   gas.Rule
}

func (d *Draft) noGosWith(c CylinderID, now time.Time) []stop {
	var stops []stop
	l := d.reading(now)
	owner, cyl := d.Cylinder(c)
	ph := l.physical(owner, cyl)
	for _, p := range l.People {
		if !slices.ContainsFunc(ph.parts, func(o part) bool { return o.owner == p && o.cyl.weighs() }) {
			continue
		}
		for n := range l.Dives {
			stops = l.addStops(stops, p, n+1)
		}
	}
	return stops
}

func (l *look) addStops(stops []stop, p *Person, n int) []stop {
	if l.WasDived(n) {
		return stops
	}
	v := l.verdict(p, n)
	for i := range v.Findings {
		if s := (stop{p.ID, n, v.Findings[i].Rule}); v.Findings[i].Severity.Worse(gas.Missing) && !slices.Contains(stops, s) {
			stops = append(stops, s)
		}
	}
	return stops
}

// beside tells whether another number within half a point of one that was taken back counts, of a cylinder that still
// stands in its place. What counted only because that one showed it does not.
func (d *Draft) beside(c *Cylinder, r *Reading, now time.Time) bool {
	if c.Swapped {
		return false
	}
	e := d.Evidence(c.ID, now)
	return slices.ContainsFunc(e.Counting, func(v gas.Value) bool {
		return math.Abs(float64(v.Percent-r.Percent)) <= besideSlip+1e-9
	})
}

// besideSlip is how near a number has to lie to one that was taken back, so that
// nothing has to be shown again, in points.
const besideSlip = 0.5

// once is the reading that a number only repeats, itself when it was said once, with the place that it was said of.
func (d *Draft) once(c *Cylinder, r *Reading) (*Cylinder, *Reading) {
	owner, _ := d.Cylinder(c.ID)
	l := d.atRest()
	ph := l.physical(owner, c)
	k := l.question(owner, c, c.Dive, ph)
	return d.Reading(ReadingID(evidence.Once(&ph.all, &k, string(r.ID))))
}

// isOnce tells whether a reading repeats no other one.
func (d *Draft) isOnce(c *Cylinder, id ReadingID) bool {
	_, r := d.Reading(id)
	_, once := d.once(c, r)
	return once.ID == id
}

// readAfter tells whether the cylinder was read again or filled after r. The same number said twice is no other one.
func (d *Draft) readAfter(c *Cylinder, r *Reading) bool {
	h := d.historyOf(c)
	for i := range h.Readings {
		if later := &h.Readings[i]; later.Nth > r.Nth && d.isOnce(c, ReadingID(later.ID)) {
			return true
		}
	}
	return filledAfter(h, r)
}

// historyOf is everything that was said of a cylinder, wherever it stood.
func (d *Draft) historyOf(c *Cylinder) *evidence.History {
	owner, _ := d.Cylinder(c.ID)
	return &d.atRest().physical(owner, c).all
}

// filledAfter tells whether the cylinder was filled after r was taken.
func filledAfter(h *evidence.History, r *Reading) bool {
	taken := evidence.Moment{At: r.taken(), Nth: r.Nth}
	for i := range h.Fills {
		if taken.Before(h.Fills[i].Moment) {
			return true
		}
	}
	return false
}

func (d *Draft) unsettled(c *Cylinder, now time.Time) bool {
	e := d.Evidence(c.ID, now)
	return e.Unsettled
}

// Correct is "no, 31.4": the earlier number was a slip, if who said it says so
// in time. On an unsettled cylinder, once the boat check is open, after a fill,
// after the dive was dived, and by somebody else it only adds a reading. at is
// when it was sent. Of a number that was put right before, the last one is meant;
// the same value again changes nothing. It returns nil when the reading is unknown.
func (d *Draft) Correct(id ReadingID, p gas.Percent, by PersonID, at, now time.Time) *Reading {
	c, old := d.Reading(id)
	if old == nil {
		return nil
	}
	c, old = d.once(c, old)
	old = c.lastOf(old)
	if old.Undone.IsZero() && old.Percent == p && old.By == by {
		return old
	}
	slip := d.slips(c, old, by, now)
	new := d.putRight(c, old, slip, by, at)
	new.Percent = p
	var is *Reading
	lost := d.losesNoGo(c.ID, now, func() {
		if slip {
			d.takeBack(old.ID, true, by, now)
		}
		is = d.attach(c.ID, new, now)
		if slip { // of one look at the analyser, and one saying
			_, was := d.EditReading(old.ID)
			was.Undone.Nth = is.Nth
		} else {
			is.Hurried = d.hurried(c.ID, is)
		}
		d.act(now, by, VerbCorrect, string(c.ID), "", "reading", string(is.ID), "replaces", string(old.ID),
			"was", percentText(old.Percent), "now", percentText(p))
	})
	if slip {
		d.cameOf(old.ID, lost, old.Beside)
	}
	return is
}

// slips tells whether a correction makes the earlier number a slip.
func (d *Draft) slips(c *Cylinder, old *Reading, by PersonID, now time.Time) bool {
	return by == old.By && old.Undone.IsZero() && !d.BoatOpened(c.Dive) && !d.WasDived(c.Dive) &&
		!filledAfter(d.historyOf(c), old) && !d.unsettled(c, now)
}

// putRight is the number that is said instead of another: of the same analysis
// when that one was a slip, else a number beside it of which nothing more was
// said. It is as old as that one, except while a boat check is open.
func (d *Draft) putRight(c *Cylinder, old *Reading, slip bool, by PersonID, at time.Time) Reading {
	owner, _ := d.Cylinder(c.ID)
	new := Reading{At: at, Ref: old.Ref, By: by, Replaces: old.ID, Taken: old.taken()}
	if d.BoatOpened(c.Dive) && !d.WasDived(c.Dive) {
		new.Taken = at
	}
	if slip {
		new.Analyser, new.NamedLater, new.AirPoint, new.Weather = old.Analyser, old.NamedLater, old.AirPoint, old.Weather
		new.Hurried, new.Altitude, new.AirLater, new.WeatherWas = old.Hurried, old.Altitude, old.AirLater, old.WeatherWas
		if old.Witness != "" && by != owner.ID {
			new.Witness = by // whom a leader named saw the number of before
		}
	} else {
		new.Weather, new.Altitude = d.Air.Weather, d.altitude(c)
		new.Witness = d.witness(owner, &Cylinder{}, &new)
	}
	new.Entrant = d.entrant(owner, &new)
	return new
}

// lastOf follows a number to the last one that puts it right.
func (c *Cylinder) lastOf(r *Reading) *Reading {
	for range c.Readings {
		next := r
		for _, o := range c.Readings {
			if o.Replaces == r.ID && r.Slip {
				next = o
			}
		}
		if next == r {
			break
		}
		r = next
	}
	return r
}
