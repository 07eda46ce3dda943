package gas

import "math"

// sultry is 30 C and 80 %: air with 20.25 % oxygen (see humid_test.go).
var sultry = Weather{Celsius: 30, Humidity: 80, Known: true}

// humid is a reading without an air point in air w, as evidence counts it.
func humid(w Weather, o2 Percent, minutes float64) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		c.Evidence, d.Dive.Minutes = Read(o2), minutes
		c.Lean = min(o2, o2*w.Oxygen(0)/20.9)
	}
}

// biased are the numbers of a reading of an analyser set to 20.9 in air w.
func biased(w Weather, o2 Percent, more Finding) Finding {
	more.Other = o2 * w.Oxygen(0) / 20.9
	more.Measured, more.Limit, more.Margin, more.Unit = Of(float64(o2)), Of(float64(more.Other)),
		Of(float64(more.Other-o2)), "percent"
	return more
}

var humidAirExamples = []example{
	// The worked value turned round: set to 20.9 in this air, 33.0 is 32.0.
	{name: "set to 20.9 in humid air", set: humid(sultry, 33, 0), want: humidHigh, more: biased(sultry, 33, Finding{})},
	{name: "air that is a little humid", set: humid(Weather{20, 20, true}, 32, 0), want: humidSmall,
		more: biased(Weather{20, 20, true}, 32, Finding{})},
	{name: "dry air, which is richer", set: humid(Weather{20, 0, true}, 32, 0), want: humidNotGiven},
	{name: "what it lacks is still long enough", set: humid(sultry, 33, 22), want: humidHigh,
		more: biased(sultry, 33, Finding{})},
	{name: "what it lacks is too short", set: humid(sultry, 32, 24), want: humidTime,
		more: biased(sultry, 32, Finding{MaxMinutes: math.Floor(Place{}.NoStopTime(32*sultry.Oxygen(0)/20.9, M(30),
			85).Minutes)})},
	{name: "what it lacks is too short, and dived yesterday",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			humid(sultry, 32, 24)(p, d, c)
			d.OwnComputer = true
		},
		want: humidOwnTime, more: biased(sultry, 32, Finding{})},
	{name: "no weather", want: humidNotGiven},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: humidNotRead},
}
