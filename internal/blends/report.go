package blends

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Within is the tolerance of a nitrox fill, in points (EN 12021:2014).
const Within = 1.0

// Summary is what a group of samples comes to. Deviations are measured minus
// asked, in points.
type Summary struct {
	Count   int     `json:"count"`    // readings
	Fills   int     `json:"fills"`    // that they are of: the shop's reading and the diver's are of one
	Mean    float64 `json:"mean"`     // measured, percent
	Off     float64 `json:"mean_off"` // deviation
	Lowest  float64 `json:"lowest_off"`
	Highest float64 `json:"highest_off"`
	Inside  int     `json:"within_1_0_count"`
	Share   float64 `json:"within_1_0"` // 0 to 1
	// Spread is the standard deviation of a sample (n - 1); nil for fewer than two.
	Spread *float64 `json:"standard_deviation"`
}

// Group is a summary of the samples that have something in common.
type Group struct {
	Key string `json:"key"` // the blend, the analyser's name, or the day
	Summary
}

// Report is blend quality over a span of time.
type Report struct {
	Overall    Summary `json:"overall"`
	ByBlend    []Group `json:"by_blend"`
	ByAnalyser []Group `json:"by_analyser"` // "" for readings without one
	ByDay      []Group `json:"by_day"`
}

// Summarise groups samples.
func Summarise(samples []Sample) Report {
	return Report{Overall: summary(samples),
		ByBlend:    group(samples, func(s Sample) string { return strconv.FormatFloat(float64(s.Asked), 'f', -1, 64) }),
		ByAnalyser: group(samples, func(s Sample) string { return s.Analyser }),
		ByDay:      group(samples, func(s Sample) string { return s.Day })}
}

// group summarises samples by key, in the order of the keys; blends have two
// digits, so that their order is that of numbers.
func group(samples []Sample, key func(Sample) string) []Group {
	by := map[string][]Sample{}
	groups := []Group{}
	for _, s := range samples {
		k := key(s)
		if by[k] == nil {
			groups = append(groups, Group{Key: k})
		}
		by[k] = append(by[k], s)
	}
	slices.SortFunc(groups, func(a, b Group) int { return strings.Compare(a.Key, b.Key) })
	for i := range groups {
		groups[i].Summary = summary(by[groups[i].Key])
	}
	return groups
}

type fill struct {
	trip, cylinder string
	number         int
}

func summary(samples []Sample) Summary {
	out := Summary{Count: len(samples)}
	if len(samples) == 0 {
		return out
	}
	fills := map[fill]bool{}
	offs := make([]float64, len(samples))
	measured := make([]float64, len(samples))
	for i, s := range samples {
		fills[fill{string(s.Trip), string(s.Cylinder), s.Fill}] = true
		offs[i], measured[i] = s.Off(), float64(s.Measured)
		if math.Abs(offs[i]) <= Within+1e-9 {
			out.Inside++
		}
	}
	out.Fills, out.Share = len(fills), float64(out.Inside)/float64(len(samples))
	out.Mean, out.Off = mean(measured), mean(offs)
	out.Lowest, out.Highest = slices.Min(offs), slices.Max(offs)
	if sd, ok := spread(offs); ok {
		out.Spread = &sd
	}
	return out
}

// mean is the arithmetic mean, corrected by the mean of what rounding left over.
func mean(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m += x / float64(len(v))
	}
	rest := 0.0
	for _, x := range v {
		rest += x - m
	}
	return m + rest/float64(len(v))
}

// spread is the standard deviation of a sample, with n - 1; false for less than two.
func spread(v []float64) (float64, bool) {
	if len(v) < 2 {
		return 0, false
	}
	m, squares := mean(v), 0.0
	for _, x := range v {
		squares += (x - m) * (x - m)
	}
	return math.Sqrt(squares / float64(len(v)-1)), true
}
