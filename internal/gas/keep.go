package gas

// Band is a run of whole percentages that come to the same on one dive, for a
// table to keep where there is no signal. A reading between two whole numbers
// is rounded up to use it.
type Band struct {
	From, To Percent // To is zero for "and more"
	Status   Status  // Go, GoWithLimits (no deeper than MaxDepth) or NoGo
	MaxDepth Depth   // whole, zero when none
}

// Keep is the table of one dive from 21 % up: which whole percentages go,
// which go with a depth, which do not. It looks at the gas alone (range, depth,
// bottom, contingency) and at the policy's deepest depth: "21 to 31 go; 32 go, no
// deeper than 33 m; 33 and more stop" at 33.5 m. Nil when the dive has no depth.
func Keep(p Policy, d Dive) []Band {
	if !d.valid() || !p.usable() {
		return nil
	}
	var bands []Band
	for o2 := Air; o2 <= p.MaxO2+1; o2++ {
		b := bandOf(p, d, o2)
		if n := len(bands); n > 0 && bands[n-1].Status == b.Status && bands[n-1].MaxDepth == b.MaxDepth {
			bands[n-1].To = o2
			continue
		}
		bands = append(bands, b)
	}
	bands[len(bands)-1].To = 0 // above MaxO2 nothing goes any more
	return bands
}

func bandOf(p Policy, d Dive, o2 Percent) Band {
	c := gasOnly(&p, d, o2)
	defer c.end()
	b := Band{From: o2, To: o2, Status: Go}
	if deepestCheck(c).Severity == Stop {
		return Band{From: o2, To: o2, Status: NoGo}
	}
	for _, look := range []func(*subject) Finding{outOfRange, depthCheck, bottomCheck, contingencyCheck} {
		f := look(&c.subjects[0])
		switch f.Severity {
		case Stop:
			return Band{From: o2, To: o2, Status: NoGo}
		case Limits:
			b.Status, b.MaxDepth = GoWithLimits, shallower(b.MaxDepth, f.MaxDepth)
		}
	}
	return b
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
		if bandOf(p, d, o2).Status != NoGo {
			atAll = o2
		}
		if bandOf(p, d, o2+fillSpread).Status != NoGo {
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
		known, fits := c.load.known, c.subjects[0].noStop.allows(d.Dive.Minutes)
		c.end()
		if !known {
			return 0, false
		}
		if fits && bandOf(p, d.Dive, o2).Status != NoGo {
			return o2, true
		}
	}
	return 0, true
}
