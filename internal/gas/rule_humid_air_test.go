package gas

import "math"

// sultry is 30 C and 80 %: air with 20.25 % oxygen (see humid_test.go).
var sultry = Weather{Celsius: 30, Humidity: 80, Known: true}

func weather(w Weather, airPoint, o2 Percent, minutes float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, _ *Diver, c *Cylinder) {
		c.Readings, c.Dive.Minutes = []Reading{read(o2)}, minutes
		c.Readings[0].Weather, c.Readings[0].AirPoint = w, airPoint
	}
}

// biased are the numbers of a reading of an analyser set to show set in the air w.
func biased(w Weather, o2, set Percent, more Finding) Finding {
	air := w.Oxygen(0)
	more.Other = o2 * air / set
	more.Measured, more.Limit, more.Margin, more.Unit = Of(float64(o2)), Of(float64(air)), Of(float64(more.Other-o2)), "percent"
	return more
}

var humidAirExamples = []example{
	// The worked value turned round: set to 20.9 in this air, 33.0 is 32.0.
	{name: "set to 20.9 in humid air", set: weather(sultry, 0, 33, 0), want: humidHigh, more: biased(sultry, 33, 20.9, Finding{})},
	{name: "set to what the air holds", set: weather(sultry, 20.2, 33, 0), want: humidSmall, more: biased(sultry, 33, 20.2, Finding{})},
	{name: "dry air", set: weather(Weather{20, 0, true}, 0, 32, 0), want: humidSmall, more: biased(Weather{20, 0, true}, 32, 20.9, Finding{})},
	{name: "the corrected value is still long enough", set: weather(sultry, 0, 33, 22), want: humidHigh, more: biased(sultry, 33, 20.9, Finding{})},
	{name: "the corrected value is too short", set: weather(sultry, 0, 32, 24), want: humidTime,
		more: biased(sultry, 32, 20.9, Finding{MaxMinutes: math.Floor(Place{}.NoStopTime(32*sultry.Oxygen(0)/20.9, M(30), 85).Minutes)})},
	{name: "the corrected value has no time at all",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			weather(sultry, 0, 22, 10)(p, d, c)
			p.GF, c.Dive.Depth = 30, M(90)
		},
		want: humidNoTime, more: biased(sultry, 22, 20.9, Finding{})},
	{name: "an analyser that shows too little", set: weather(sultry, 20.08, 32, 0), want: humidLow, more: biased(sultry, 32, 20.08, Finding{})},
	{name: "too little, and the truth is too rich for the label",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			weather(sultry, 20.08, 32, 0)(p, d, c)
			c.Dive.Depth = M(33.5)
		},
		want: humidDepth, more: biased(sultry, 32, 20.08, Finding{MaxDepth: M(33)})},
	{name: "too little, without a plan",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			weather(sultry, 20.08, 32, 0)(p, d, c)
			c.Dive.Depth = Depth{}
		},
		want: humidLow, more: biased(sultry, 32, 20.08, Finding{})},
	{name: "no weather", want: humidNotGiven},
	{name: "a humidity that can't be", set: weather(Weather{30, 180, true}, 0, 32, 0), want: humidNotGiven},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Readings = nil },
		want: humidNotRead},
}
