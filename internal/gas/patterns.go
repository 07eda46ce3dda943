package gas

import (
	"cmp"
	"math"
	"slices"
)

// Sample is one analysed cylinder for the search for group patterns: what was
// asked for and what an analyser showed.
type Sample struct {
	Cylinder string
	Analyser string // "" when not said; such samples tell nothing of analysers
	Asked    Percent
	Measured Percent
}

// PatternKind is where a deviation that several readings share comes from.
type PatternKind string

// The three kinds: one analyser reads off; the bank, the blender or the
// membrane is off, whatever the analyser; one fill is off.
const (
	AnalyserOff PatternKind = "analyser"
	BankOff     PatternKind = "bank"
	FillOff     PatternKind = "fill"
	// AnalyserOrBankOff is when all readings lie off the same way and one
	// analyser took them all: which of the two it is can't be told.
	AnalyserOrBankOff PatternKind = "analyser-or-bank"
)

// Pattern is one deviation that was found.
type Pattern struct {
	Kind     PatternKind
	Analyser string  // of AnalyserOff and AnalyserOrBankOff
	Cylinder string  // of FillOff
	Points   float64 // how far off, positive for richer than asked
	Readings int     // how many readings it rests on
}

// The thresholds of FindPatterns, in points, and the fewest readings that it
// judges by. They were chosen on simulated trips (12 cylinders, 2 analysers,
// fills and readings with a standard deviation of 0.4 point): under 1 % of
// trips with nothing wrong raise any pattern, and an offset of 1.5 points on
// one analyser is found in more than 95 %. TestPatternsOnSimulatedTrips holds
// them to that and prints the operating curve.
const (
	analyserStep   = 0.85 // between an analyser and the others
	bankStep       = 0.6  // of all readings
	fillStep       = 1.5  // between a fill and the others of its analyser
	fewestAnalyser = 3    // readings of an analyser, and of the others
	fewestBank     = 4    // readings in all
	fewestFill     = 4    // readings of one analyser, to call one of them odd
)

// FindPatterns looks for what deviating readings have in common. Everything is
// judged by medians, so that one bad fill doesn't make an analyser look bad:
// each analyser's median deviation against that of the others, then the median
// of what is left for the bank, then each fill against the median of its
// analyser. Samples without an asked blend or a reading, and of air, are left out:
// air comes from no bank.
func FindPatterns(samples []Sample) []Pattern {
	by := deviations(samples)
	found := analysersOff(by)
	if p, ok := bankOff(by, found); ok {
		found = append(found, p)
	}
	return append(found, fillsOff(samples, by)...)
}

// counts tells whether a sample says anything about a blend.
func (s *Sample) counts() bool {
	return s.Asked.Known() && s.Measured.Known() && s.Asked >= EnrichedFrom
}

// off is the deviation of a sample in points.
func (s *Sample) off() float64 { return float64(s.Measured - s.Asked) }

// deviation is how far the readings of one analyser lie off what was asked for.
type deviation struct {
	analyser string
	points   []float64 // in ascending order
}

// deviations are those of each analyser, by its name.
func deviations(samples []Sample) []deviation {
	var by []deviation
	for i := range samples {
		s := &samples[i]
		if !s.counts() {
			continue
		}
		d := deviationOf(by, s.Analyser)
		if d == nil {
			by = append(by, deviation{analyser: s.Analyser})
			d = &by[len(by)-1]
		}
		d.points = append(d.points, s.off())
	}
	slices.SortFunc(by, func(d, e deviation) int { return cmp.Compare(d.analyser, e.analyser) })
	for _, d := range by {
		slices.Sort(d.points)
	}
	return by
}

// deviationOf is that of one analyser, nil when there is none.
func deviationOf(by []deviation, analyser string) *deviation {
	for i := range by {
		if by[i].analyser == analyser {
			return &by[i]
		}
	}
	return nil
}

// analysersOff are the analysers that differ from the others. Of two that
// differ from each other the one is off that lies farther from what was asked.
func analysersOff(by []deviation) []Pattern {
	var found []Pattern
	for _, d := range by {
		if d.analyser == "" || len(d.points) < fewestAnalyser {
			continue
		}
		rest := pooled(by, d.analyser)
		if len(rest) < fewestAnalyser {
			continue
		}
		m, r := median(d.points), median(rest)
		if math.Abs(m-r) >= analyserStep && math.Abs(m) > math.Abs(r) {
			found = append(found, Pattern{Kind: AnalyserOff, Analyser: d.analyser, Points: m - r, Readings: len(d.points)})
		}
	}
	return found
}

// pooled are the deviations of several analysers together, all but those named,
// in ascending order.
func pooled(by []deviation, but ...string) []float64 {
	n := 0
	for _, d := range by {
		n += len(d.points)
	}
	all := make([]float64, 0, n)
	for _, d := range by {
		if !slices.Contains(but, d.analyser) {
			all = append(all, d.points...)
		}
	}
	slices.Sort(all)
	return all
}

// bankOff looks at the readings of all analysers that are not off themselves.
func bankOff(by []deviation, off []Pattern) (Pattern, bool) {
	var but []string
	for _, p := range off {
		but = append(but, p.Analyser)
	}
	all := pooled(by, but...)
	if len(all) < fewestBank || math.Abs(median(all)) < bankStep {
		return Pattern{}, false
	}
	p := Pattern{Kind: BankOff, Points: median(all), Readings: len(all)}
	if len(by) == 1 && by[0].analyser != "" {
		p.Kind, p.Analyser = AnalyserOrBankOff, by[0].analyser
	}
	return p, true
}

// fillsOff are the fills that differ from the others of their analyser.
func fillsOff(samples []Sample, by []deviation) []Pattern {
	var found []Pattern
	for i := range samples {
		s := &samples[i]
		if !s.counts() {
			continue
		}
		own := deviationOf(by, s.Analyser).points
		if len(own) < fewestFill {
			continue
		}
		if d := s.off() - median(own); math.Abs(d) >= fillStep {
			found = append(found, Pattern{Kind: FillOff, Cylinder: s.Cylinder, Points: d, Readings: 1})
		}
	}
	return found
}

// median is the middle of values in ascending order, or the mean of the middle
// two.
func median(v []float64) float64 {
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return (v[n/2-1] + v[n/2]) / 2
}
