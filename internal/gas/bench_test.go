package gas

import (
	"fmt"
	"testing"
)

// twoDives is a diver with a whole day: two dives over a bottom, everything
// measured, so that every rule has something to look at.
func twoDives(i int) Diver {
	_, d := plain()
	first := d.Cylinders[0]
	first.Key, first.CO = fmt.Sprint("a", i), Of(2)
	first.Dive.Minutes, first.Dive.Bottom = 22, M(36)
	first.Readings = []Reading{read(32.1), read(32 + Percent(i%5)/10)}
	first.Readings[1].AirPoint, first.Readings[1].Weather = 20.9, Weather{Celsius: 20, Humidity: 40, Known: true}
	second := first
	second.Key, second.Asked = fmt.Sprint("b", i), 36
	second.Readings = []Reading{read(35.8)}
	second.Dive = Dive{Number: 2, Depth: M(18), Bottomless: true, Minutes: 40, Interval: 60, Start: start}
	d.Cylinders = []Cylinder{first, second}
	d.DepthLimit = M(40)
	return d
}

// BenchmarkAssess is one full check: all rules, two dives.
func BenchmarkAssess(b *testing.B) {
	p, d := DefaultPolicy(), twoDives(0)
	b.ReportAllocs()
	for b.Loop() {
		_ = Assess(p, d, start)
	}
}

// BenchmarkGroup is what a board of 40 divers with 80 cylinders costs: every
// check, the teams and the shared limits.
func BenchmarkGroup(b *testing.B) {
	p := DefaultPolicy()
	var divers []Diver
	for i := range 40 {
		divers = append(divers, twoDives(i))
	}
	b.ReportAllocs()
	for b.Loop() {
		verdicts := make([]*Verdict, len(divers))
		for i, d := range divers {
			v := Assess(p, d, start)
			verdicts[i] = &v
		}
		for dive := 1; dive <= 2; dive++ {
			for i := 0; i < len(verdicts); i += 4 {
				ApplyTeam(dive, verdicts[i:i+4])
			}
		}
		ShareLimits(verdicts)
	}
}

func BenchmarkFindPatterns(b *testing.B) {
	s := append(samples("A", 32, 32, 32.1, 31.9, 32.2, 31.8, 32), samples("B", 36, 37, 37.1, 36.9, 37, 36.8, 37.2)...)
	b.ReportAllocs()
	for b.Loop() {
		FindPatterns(s)
	}
}

// BenchmarkAssessBriefly is the check as a board keeps it.
func BenchmarkAssessBriefly(b *testing.B) {
	p, d := DefaultPolicy(), twoDives(0)
	b.ReportAllocs()
	for b.Loop() {
		_ = AssessBriefly(p, d, start)
	}
}
