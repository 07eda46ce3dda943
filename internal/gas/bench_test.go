package gas

import (
	"fmt"
	"testing"
)

// secondOfTwo is a diver on their second dive of the day, everything measured,
// so that every rule has something to look at.
func secondOfTwo(i int) Diver {
	_, d := plain()
	d.Cylinders[0].Evidence = readings(35.8, 35.8+Percent(i%5)/10)
	c := &d.Cylinders[0]
	c.Key, c.Asked, c.CO = fmt.Sprint("b", i), 36, Of(2)
	c.AirPoint = AirPoint{State: AirPointFits, Shown: 20.9, Lo: 20.2, Hi: 21.1}
	d.Dive = Dive{Number: 2, Depth: M(18), Bottomless: true, Minutes: 40, Interval: 60, Start: start}
	d.Before = []Leg{{Number: 1, Depth: M(30), Minutes: 22, Rich: 32.4, Lean: 32.1}}
	d.DepthLimit, d.Needed = M(40), true
	return d
}

// BenchmarkAssess is one full check: all rules, after an earlier dive.
func BenchmarkAssess(b *testing.B) {
	p, d := DefaultPolicy(Metres), secondOfTwo(0)
	b.ReportAllocs()
	for b.Loop() {
		_ = Assess(p, d)
	}
}

// BenchmarkAssessBriefly is the check as a board keeps it.
func BenchmarkAssessBriefly(b *testing.B) {
	p, d := DefaultPolicy(Metres), secondOfTwo(0)
	b.ReportAllocs()
	for b.Loop() {
		_ = AssessBriefly(p, d)
	}
}

func BenchmarkFindPatterns(b *testing.B) {
	s := append(samples("A", 32, 32, 32.1, 31.9, 32.2, 31.8, 32), samples("B", 36, 37, 37.1, 36.9, 37, 36.8, 37.2)...)
	b.ReportAllocs()
	for b.Loop() {
		FindPatterns(s)
	}
}
