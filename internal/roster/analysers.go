package roster

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// calibrated is how old an air point may be to be that of a reading. Common
// practice, no source.
const calibrated = time.Hour

// SetAnalyser says which analyser a reading was taken with, after it was said. What that
// showed in air before it counts with it, as said later, unless the dive has begun; else
// it is compared as one whose analyser was not named.
func (d *Draft) SetAnalyser(id ReadingID, analyser string, by PersonID, now time.Time) {
	c, r := d.Reading(id)
	if r == nil || r.Analyser == analyser || analyser == "" {
		return
	}
	was := r.Analyser
	name := d.analyser(analyser).Name
	_, r = d.EditReading(id)
	r.Analyser, r.NamedLater = name, true
	p := d.Analyser(name).before(r.taken())
	if p.Percent != 0 && r.AirPoint == 0 && r.Replaces == "" && !d.begun(c, now) {
		r.AirPoint, r.Weather, r.AirLater, r.WeatherWas = p.Percent, p.Weather, true, r.Weather
	}
	d.act(now, by, VerbAnalyser, string(id), "", "was", was, "now", r.Analyser)
}

// SetAirPoint records what an analyser showed in air, 0 for "don't know" (which
// is an answer too: it is asked once). It counts for the readings that follow;
// one taken later changes nothing that was said before. An unknown analyser is
// added.
func (d *Draft) SetAirPoint(analyser string, p gas.Percent, w gas.Weather, by PersonID, now time.Time) {
	if analyser == "" {
		return
	}
	name := d.analyser(analyser).Name
	was := d.Analyser(name).Last().Percent
	if p != 0 {
		d.addAirPoint(name, p, w, by, now)
	} else if !d.Analyser(name).AirAsked {
		d.EditAnalyser(name).AirAsked = true
	}
	d.act(now, by, VerbAirPoint, "", "", "analyser", name, "was", percentText(was), "now", percentText(p))
}

func (d *Draft) addAirPoint(name string, p gas.Percent, w gas.Weather, by PersonID, at time.Time) {
	if !w.Known {
		w = d.Air.Weather
	}
	point := AirPoint{Moment: d.moment(at), Percent: p, By: by, Weather: w}
	a := d.EditAnalyser(name)
	a.AirPoints, a.AirAsked = append(a.AirPoints, point), true
}

// AirPointOf records what an analyser showed in air, as the answer to what was asked of readings of one message that
// have no air point yet: it counts as said with them, also where it fails. It returns false where it can be of none:
// of those that somebody else took, and of those whose dive has begun, since what was breathed then is not worked out
// anew.
func (d *Draft) AirPointOf(ids []ReadingID, p gas.Percent, w gas.Weather, by PersonID, now time.Time) bool {
	of := slices.DeleteFunc(slices.Clone(ids), func(id ReadingID) bool { return !d.takesAir(id, by, now) })
	if p == 0 || len(of) == 0 {
		return false
	}
	_, first := d.Reading(of[0])
	analyser := first.Analyser
	d.SetAirPoint(analyser, p, w, by, now)
	if !w.Known {
		w = d.Air.Weather
	}
	for _, id := range of {
		if _, r := d.Reading(id); r.Analyser == analyser {
			_, r = d.EditReading(id)
			r.AirPoint, r.Weather, r.AirLater, r.WeatherWas = p, w, true, r.Weather
		}
	}
	return true
}

// takesAir tells whether an air point that somebody says now may be of a reading.
func (d *Draft) takesAir(id ReadingID, by PersonID, now time.Time) bool {
	c, r := d.Reading(id)
	return r != nil && r.By == by && r.Analyser != "" && r.AirPoint == 0 && r.Replaces == "" && !d.begun(c, now)
}

// begun tells whether a dive has begun, by plan or as it was dived, that a cylinder was for then or later: under any of
// its labels, wherever it was moved since. One that a leader said is not dived never began.
func (d *Draft) begun(c *Cylinder, now time.Time) bool {
	owner, _ := d.Cylinder(c.ID)
	ph := d.atRest().physical(owner, c)
	for i := range d.Dives {
		n, began := i+1, d.Starts(i+1)
		if d.WasDived(n) {
			began = d.Dive(n).Outcome.Began
		}
		if !d.NotDived(n) && !now.Before(began) &&
			slices.ContainsFunc(ph.parts, func(p part) bool { return p.cyl.wasOn(n, began) }) {
			return true
		}
	}
	return false
}

// air gives a reading the air point that was said with it, else the last on its
// analyser in the hour before; and the weather said with either, else the last
// said on the trip.
func (d *Draft) air(r *Reading) {
	switch {
	case r.Replaces != "":
		return // of the same analysis
	case r.AirPoint != 0:
		if !r.Weather.Known {
			r.Weather = d.Air.Weather
		}
		if r.Analyser != "" {
			d.addAirPoint(r.Analyser, r.AirPoint, r.Weather, r.By, r.taken())
		}
		return
	}
	if a := d.Analyser(r.Analyser); a != nil {
		if p := a.before(r.taken()); p.Percent != 0 {
			r.AirPoint, r.Weather = p.Percent, p.Weather
			return
		}
	}
	if !r.Weather.Known {
		r.Weather = d.Air.Weather
	}
}

// before is the last air point in the hour before an instant.
func (a *Analyser) before(at time.Time) AirPoint {
	var last AirPoint
	for _, p := range a.AirPoints {
		if !p.At.After(at) && at.Sub(p.At) <= calibrated && !p.At.Before(last.At) {
			last = p
		}
	}
	return last
}

// analyser finds an analyser or adds it.
func (d *Draft) analyser(name string) *Analyser {
	if a := d.Analyser(name); a != nil {
		return a
	}
	return d.EditAnalyser(name)
}
