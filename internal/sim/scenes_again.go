package sim

import (
	"fmt"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// What is said of numbers that were said: put right, taken back, looked at again, asked about.

// recent is a number of the last few.
func (d *director) recent() *shown {
	if len(d.shown) == 0 {
		return nil
	}
	r := d.shown[len(d.shown)-1-d.IntN(min(5, len(d.shown)))]
	if r.spot == nil || r.spot.Dive == 0 {
		return nil
	}
	return r
}

// corrects is "no, 31.4".
func (d *director) corrects() []judge.Said {
	r := d.recent()
	if r == nil {
		return nil
	}
	s := d.say(judge.SaidCorrection, d.mostly(r.by, r.by, r.spot.owner))
	s.Of, s.Reading = r.id, d.reading()
	s.Value = pick(d.Rand, d.apart(r.value), d.apart(r.value), d.good(r.spot))
	if s.Value == r.value {
		return nil // "no" is not said of the same number
	}
	return one(s)
}

// showsAgain looks a second time at what was put right or taken back: near enough or not, soon or two minutes later,
// by the diver or watched.
func (d *director) showsAgain() []judge.Said {
	r := d.recent()
	if d.again != nil && d.again.spot != nil && d.again.spot.Dive != 0 && d.chance(75) {
		r = d.again
	}
	if r == nil {
		return nil
	}
	off := pick(d.Rand, 0.0, 0.3, 0.5, 0.6, 0.8, 1, 1.1, 1.4)
	if d.chance(50) {
		off = -off
	}
	if at := r.at.Add(2*time.Minute + seconds(d.IntN(3)-1)); at.After(d.now) {
		d.now = at
	}
	by := r.spot.owner
	if d.chance(40) {
		by = d.mostly(d.crewFor(by)...)
	}
	s := d.reads(r.spot, by, d.tenth(r.value+off))
	s.Taken, s.Analyser = d.now, r.on
	if d.chance(8) {
		s.AirPoint = 20.1
	}
	return one(s)
}

// undoes takes a number back, often just within two minutes or just after.
func (d *director) undoes() []judge.Said {
	r := d.recent()
	if r == nil {
		return nil
	}
	return d.takesBack(r)
}

// showed is "the analyser showed it", or that it has no decimals.
func (d *director) showed() []judge.Said {
	r := d.recent()
	if r == nil {
		return nil
	}
	s := d.say(judge.SaidShown, d.mostly(r.by, r.spot.owner))
	s.Of, s.NoDecimals = r.id, d.chance(30)
	return one(s)
}

// asks is a number that is being asked about, of one cylinder or of all that it may be meant for.
func (d *director) asks() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	d.changes++
	s := d.say(judge.SaidQuestion, q.owner)
	s.Question, s.Cylinders, s.Value = fmt.Sprint("q", d.changes), []roster.CylinderID{q.ID}, d.bad(q)
	for _, o := range d.spots {
		if o != q && o.owner == q.owner && o.Dive != 0 && d.chance(40) {
			s.Cylinders = append(s.Cylinders, o.ID)
		}
	}
	return one(s)
}

func (d *director) answers() []judge.Said {
	if len(d.questions) == 0 {
		return nil
	}
	q := pick(d.Rand, d.questions...)
	s := d.say(pick(d.Rand, judge.SaidAnswer, judge.SaidWithdrawn), q.By)
	s.Question = q.Question
	return one(s)
}
