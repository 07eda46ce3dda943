package judge

import "slices"

// taken is when something was measured: by the sender's clock or from paper, never later than
// it was said.
func (d *Day) taken(s Said) mark {
	if s.Taken.IsZero() || s.Taken.After(s.At) {
		return mark{s.At, d.count}
	}
	return mark{s.Taken, d.count}
}

// hearReading keeps a number of an analyser. "What somebody says of a cylinder goes to that
// cylinder or to nobody."
func (d *Day) hearReading(s Said) {
	q := d.place(s.Cylinder)
	if q == nil || !(s.Value > 0 && s.Value <= 100) || d.reading(s.Reading) != nil {
		return
	}
	r := d.addReading(s, q, nil)
	if r.who == witnessed && s.By == q.witness {
		q.witness = "" // named for one reading
	}
}

// addReading keeps a number: of the cylinder in a place, or of the one of a number that it puts right.
func (d *Day) addReading(s Said, q *place, old *reading) *reading {
	b, came, corrects := q.body, q.came, old != nil
	if corrects {
		b, came = old.body, q.cameBefore(old.saidMark())
	}
	taken := d.taken(s)
	altitude := d.dives[0].plan.Altitude
	if v := d.dive(q.dive); v != nil {
		altitude = v.plan.Altitude
	}
	r := &reading{id: s.Reading, n: d.count, place: q, owner: q.owner, body: b, by: s.By, who: d.whoseReading(s, q),
		value: s.Value, taken: taken, said: s.At, analyser: s.Analyser, air: d.airFor(s, taken, altitude),
		altitude: altitude,
		expected: float64(d.weatherOf(s).Oxygen(altitude)), message: s.Message, corrects: corrects}
	watched := s.By
	if s.By == q.owner.ID || !corrects && d.leader(s.By) && d.otherPerson(s.Witness, q.owner) {
		watched = s.Witness
	}
	r.ownToo = watched != "" && d.alsoTheirs(watched, b.real())
	r.late = d.voidedAfter(b.real(), taken) || b.sameAt(q.body, taken) && taken.before(came)
	if !corrects {
		r.first = d.saidTwice(r)
		r.twice = r.first != nil
	}
	d.hearAirPoint(s)
	d.hearCarbonMonoxide(s, b)
	d.keepPromises(r)
	d.readings = append(d.readings, r)
	return r
}

// hearCarbonMonoxide keeps what was measured of a cylinder's carbon monoxide.
func (d *Day) hearCarbonMonoxide(s Said, b *body) {
	if s.HasCO && s.CO >= 0 {
		b.real().carbon = append(b.real().carbon, carbon{d.taken(s), mark{s.At, d.count}, s.CO})
	}
}

// carbonMonoxide is "the highest since the fill". A fill that only its diver reports ends it
// with a witnessed reading on a calibrated analyser, as it ends the readings.
func (d *Day) carbonMonoxide(real *body) (highest float64, measured bool) {
	for _, b := range d.bodies {
		for _, c := range b.carbon {
			if b.real() == real && !d.filledAfter(b, c.mark, c.said) && !d.ownFillWatched(b, c.mark, c.mark) {
				highest, measured = max(highest, c.ppm), true
			}
		}
	}
	return highest, measured
}

// ownFillWatched tells whether its diver filled a cylinder after something was taken, and somebody watched it since.
func (d *Day) ownFillWatched(b *body, taken, said mark) bool {
	for _, r := range d.readings {
		if !r.body.sameAt(b, r.taken) || !r.settles() || r.slip || r.late {
			continue
		}
		if slices.ContainsFunc(d.ownFillsAfter(b, taken, said), func(f mark) bool { return f.before(r.taken) }) {
			return true
		}
	}
	return false
}

// hearQuestion keeps that a number for a cylinder is being asked about; which one is asked: all
// that it may be meant for.
func (d *Day) hearQuestion(s Said) {
	for _, id := range s.Cylinders {
		if q := d.place(id); q != nil {
			d.questions[s.Question] = append(d.questions[s.Question], q.body)
		}
	}
}

// questioned tells whether a cylinder is being asked about.
func (d *Day) questioned(b *body) bool {
	for _, asked := range d.questions {
		for _, a := range asked {
			if a.real() == b {
				return true
			}
		}
	}
	return false
}
