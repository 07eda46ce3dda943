package gas

import (
	"math"
	"testing"
)

func airPointOf(p Percent) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings[0].AirPoint = p }
}

var airPointExamples = []example{
	{name: "not asked", want: airPointNone},
	{name: "20.9", set: airPointOf(20.9), want: airPointFits, more: percents(20.9, 21.1, 0.2)},
	{name: "20.7", set: airPointOf(20.7), want: airPointFits, more: percents(20.7, 21.1, 0.4)},
	{name: "21.1", set: airPointOf(21.1), want: airPointFits, more: percents(21.1, 21.1, 0)},
	{name: "20.6", set: airPointOf(20.6), want: airPointOdd, more: percents(20.6, 20.2, 0.4)},
	{name: "20.2", set: airPointOf(20.2), want: airPointOdd, more: percents(20.2, 20.2, 0)},
	{name: "20.1", set: airPointOf(20.1), want: airPointBad, more: percents(20.1, 20.2, -0.1)},
	{name: "21.2", set: airPointOf(21.2), want: airPointBad, more: percents(21.2, 21.1, -0.1)},
	{name: "in known air, within 0.2 of its oxygen", set: weather(sultry, 20.4, 32, 0), want: airPointFits,
		more: percents(20.4, float64(sultry.Oxygen(0))+0.2, float64(sultry.Oxygen(0))+0.2-20.4)},
	{name: "in known air, 20.9 is off", set: weather(sultry, 20.9, 32, 0), want: airPointBad,
		more: percents(20.9, float64(sultry.Oxygen(0))+0.2, float64(sultry.Oxygen(0))+0.2-20.9)},
	{name: "a later reading with a sound analyser counts",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings[0].AirPoint = 21.4
			c.Readings = append(c.Readings, read(32))
			c.Readings[1].AirPoint = 20.9
		},
		want: airPointFits, more: percents(20.9, 21.1, 0.2)},
	{name: "a later reading with an unsound analyser is refused",
		set: func(_ *Policy, _ *Diver, c *Cylinder) {
			c.Readings = append(c.Readings, read(32))
			c.Readings[1].AirPoint = 21.4
		},
		want: airPointBad, more: percents(21.4, 21.1, -0.3)},
	{name: "no number at all",
		set:  airPointOf(Percent(math.NaN())),
		want: airPointNaN},
}

// TestAReadingOfAnUnsoundAnalyserDoesNotCount: the verdict is no reading, and
// the value is used for nothing.
func TestAReadingOfAnUnsoundAnalyserDoesNotCount(t *testing.T) {
	p, d := plain()
	d.Cylinders[0].Readings[0].AirPoint = 21.4
	v := Assess(p, d, start)
	if v.Status() != NoReading || v.Numbers[0].Rich.Known() {
		t.Errorf("got %v with %v %%, want no reading", v.Status(), v.Numbers[0].Rich)
	}
}
