package gas

// fits tells whether the gas alone (range, depth, bottom, contingency) is no no-go on a dive, nor the dive beyond the
// policy's deepest depth.
func fits(p Policy, d Dive, o2 Percent) bool {
	c := gasOnly(&p, d, o2)
	defer c.end()
	if deepestCheck(c).Severity == Stop {
		return false
	}
	for _, look := range []func(*subject) Finding{outOfRange, depthCheck, bottomCheck, contingencyCheck} {
		if f := look(&c.subjects[0]); f.Severity == Stop {
			return false
		}
	}
	return true
}

// gasOnly is a check of one cylinder of o2 for the dive and nothing else.
func gasOnly(p *Policy, d Dive, o2 Percent) *check {
	return begin(p, &Diver{Dive: d, Cylinders: []Cylinder{{Evidence: Read(o2)}}})
}

// fillSpread is how far, in points, a fill may come out richer than ordered
// and still be a good fill. Source: EN 12021:2014, nitrox +- 1.0 point.
const fillSpread Percent = 1

// RichestFitting is the richest whole blend that still fits the dive when the
// fill comes out 1.0 point rich, and the richest that fits at all (with no
// margin): 31 and 32 at 33.5 m. Each is 0 when not even air fits, or the dive
// has no depth.
func RichestFitting(p Policy, d Dive) (withMargin, atAll Percent) {
	if !d.valid() || !p.usable() {
		return 0, 0
	}
	for o2 := Air; o2 <= p.MaxO2+exactly; o2++ {
		if fits(p, d, o2) {
			atAll = o2
		}
		if fits(p, d, o2+fillSpread) {
			withMargin = o2
		}
	}
	return withMargin, atAll
}

// LeanestForTime is the leanest whole percentage from 21 up that goes at the
// depth of the diver's dive and allows its planned minutes without stops, after
// those before. It is 0 when no gas does both; ok is false when
// there is nothing to say: no planned minutes, or a day that is not known.
func LeanestForTime(p Policy, d Diver) (leanest Percent, ok bool) {
	if d.OwnComputer || !d.Dive.valid() || !p.usable() || !validMinutes(d.Dive.Minutes) {
		return 0, false
	}
	for o2 := Air; o2 <= p.MaxO2+exactly; o2++ {
		d.Cylinders = []Cylinder{{Evidence: Read(o2)}}
		c := begin(&p, &d)
		known, lasts := c.load.known, c.subjects[0].noStop.allows(d.Dive.Minutes)
		c.end()
		if !known {
			return 0, false
		}
		if lasts && fits(p, d.Dive, o2) {
			return o2, true
		}
	}
	return 0, true
}
