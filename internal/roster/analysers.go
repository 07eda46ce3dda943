package roster

import (
	"time"

	"gasmuster/internal/gas"
)

// calibrated is how old an air point may be to be that of a reading. Common
// practice, no source.
const calibrated = time.Hour

// SetAnalyser says which analyser a reading was taken with, after it was said.
// It is kept for the record and for patterns; the reading is compared as one
// whose analyser was not named, and has no air point by it.
func (d *Draft) SetAnalyser(id ReadingID, analyser string, by PersonID, now time.Time) {
	_, r := d.Reading(id)
	if r == nil || r.Analyser == analyser || analyser == "" {
		return
	}
	was := r.Analyser
	name := d.analyser(analyser).Name
	_, r = d.EditReading(id)
	r.Analyser, r.NamedLater = name, true
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

// AirPointOf records what an analyser showed in air, as the answer to what was asked of a
// reading that has no air point yet: it counts as said with that reading, also where it
// fails. It returns false for anybody but who took the reading, and once its dive has
// begun by plan: what was breathed then is not worked out anew.
func (d *Draft) AirPointOf(id ReadingID, p gas.Percent, w gas.Weather, by PersonID, now time.Time) bool {
	c, r := d.Reading(id)
	if r == nil || r.By != by || r.Analyser == "" || r.AirPoint != 0 || r.Replaces != "" || p == 0 ||
		!now.Before(d.Starts(c.Dive)) {
		return false
	}
	if a := d.Analyser(r.Analyser); a == nil || a.Last().By != by || a.Last().Percent != p || !a.Last().At.Equal(now) {
		d.SetAirPoint(r.Analyser, p, w, by, now) // once, also for two cylinders of one message
	}
	if !w.Known {
		w = d.Air.Weather
	}
	_, r = d.EditReading(id)
	r.AirPoint, r.Weather = p, w
	return true
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
