package gas

import (
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
	by, names := deviations(samples)
	var found []Pattern
	found = append(found, analysersOff(by, names)...)
	if p, ok := bankOff(by, names, found); ok {
		found = append(found, p)
	}
	return append(found, fillsOff(samples, by)...)
}

// counts tells whether a sample says anything about a blend.
func (s Sample) counts() bool {
	return s.Asked.Known() && s.Measured.Known() && s.Asked >= EnrichedFrom
}

// off is the deviation of a sample in points.
func (s Sample) off() float64 { return float64(s.Measured - s.Asked) }

// deviations are those of each analyser, and the analysers in a fixed order.
func deviations(samples []Sample) (map[string][]float64, []string) {
	by := map[string][]float64{}
	var names []string
	for _, s := range samples {
		if !s.counts() {
			continue
		}
		if by[s.Analyser] == nil {
			names = append(names, s.Analyser)
		}
		by[s.Analyser] = append(by[s.Analyser], s.off())
	}
	slices.Sort(names)
	return by, names
}

// analysersOff are the analysers that differ from the others. Of two that
// differ from each other the one is off that lies farther from what was asked.
func analysersOff(by map[string][]float64, names []string) []Pattern {
	var found []Pattern
	for _, name := range names {
		own, rest := by[name], others(by, names, name)
		if name == "" || len(own) < fewestAnalyser || len(rest) < fewestAnalyser {
			continue
		}
		m, r := median(own), median(rest)
		if math.Abs(m-r) >= analyserStep && math.Abs(m) > math.Abs(r) {
			found = append(found, Pattern{Kind: AnalyserOff, Analyser: name, Points: m - r, Readings: len(own)})
		}
	}
	return found
}

// others are the deviations of all analysers but one.
func others(by map[string][]float64, names []string, name string) []float64 {
	var rest []float64
	for _, n := range names {
		if n != name {
			rest = append(rest, by[n]...)
		}
	}
	return rest
}

// bankOff looks at the readings of all analysers that are not off themselves.
func bankOff(by map[string][]float64, names []string, off []Pattern) (Pattern, bool) {
	var all []float64
	used := ""
	analysers := 0
	for _, n := range names {
		if !slices.ContainsFunc(off, func(p Pattern) bool { return p.Analyser == n }) {
			all = append(all, by[n]...)
			used = n
			analysers++
		}
	}
	if len(all) < fewestBank || math.Abs(median(all)) < bankStep {
		return Pattern{}, false
	}
	p := Pattern{Kind: BankOff, Points: median(all), Readings: len(all)}
	if analysers == 1 && len(off) == 0 && used != "" {
		p.Kind, p.Analyser = AnalyserOrBankOff, used
	}
	return p, true
}

// fillsOff are the fills that differ from the others of their analyser.
func fillsOff(samples []Sample, by map[string][]float64) []Pattern {
	middle := make(map[string]float64, len(by))
	for name, own := range by {
		middle[name] = median(own)
	}
	var found []Pattern
	for _, s := range samples {
		if !s.counts() || len(by[s.Analyser]) < fewestFill {
			continue
		}
		if d := s.off() - middle[s.Analyser]; math.Abs(d) >= fillStep {
			found = append(found, Pattern{Kind: FillOff, Cylinder: s.Cylinder, Points: d, Readings: 1})
		}
	}
	return found
}

// median is the middle value, or the mean of the middle two.
func median(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}
