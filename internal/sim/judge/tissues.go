package judge

import (
	"math"

	"gasmuster/internal/gas"
)

// The tissue model of reference/README.md and reference/zhl16c_nitrogen.csv:
// Buehlmann ZHL-16C, nitrogen, first compartment 1b. Half-time in minutes, a in bar, b.
var zhl16c = [16][3]float64{
	{5, 1.1696, 0.5578}, {8, 1.0, 0.6514}, {12.5, 0.8618, 0.7222}, {18.5, 0.7562, 0.7825},
	{27, 0.62, 0.8126}, {38.3, 0.5043, 0.8434}, {54.3, 0.441, 0.8693}, {77, 0.4, 0.891},
	{109, 0.375, 0.9092}, {146, 0.35, 0.9222}, {187, 0.3295, 0.9319}, {239, 0.3065, 0.9403},
	{305, 0.2835, 0.9477}, {390, 0.261, 0.9544}, {498, 0.248, 0.9602}, {635, 0.2327, 0.9653},
}

const (
	vapour    = 0.0627 // bar
	downSpeed = 18.0   // m/min
	upSpeed   = 9.0    // m/min
	exactly   = 1e-9
)

// sea is what turns metres into bar at a place: P = Psurface + rho g D.
type sea struct{ surface, perMetre float64 }

func seaOf(p Dive) sea {
	density := 1025.0
	if p.Water == gas.Fresh {
		density = 1000
	}
	return sea{surface: gas.AirPressure(p.Altitude), perMetre: density * 9.80665 / 1e5}
}

// alveolar is the nitrogen in the lungs, bar: (Pamb - 0.0627)(1 - FO2).
func (w sea) alveolar(o2, metres float64) float64 {
	return (w.surface + w.perMetre*metres - vapour) * (1 - o2/100)
}

// tissues are the nitrogen pressures of the compartments, bar.
type tissues [16]float64

// Start of the day: (Psurface - 0.0627) 0.79.
func startOfDay(w sea) tissues {
	var t tissues
	for i := range t {
		t[i] = w.alveolar(21, 0)
	}
	return t
}

// travel is so many minutes from one depth to another (Schreiner), or at one (Haldane).
func (t tissues) travel(w sea, o2, from, to, minutes float64) tissues {
	if minutes <= 0 {
		return t
	}
	start := w.alveolar(o2, from)
	rate := (w.alveolar(o2, to) - start) / minutes
	for i := range t {
		k := math.Ln2 / zhl16c[i][0]
		t[i] = start + rate*(minutes-1/k) - (start-t[i]-rate/k)*math.Exp(-k*minutes)
	}
	return t
}

// after are the tissues after a dive: down at 18 m/min counted in, direct ascent at 9.
func (t tissues) after(w sea, o2, metres, minutes float64) tissues {
	down := min(metres/downSpeed, minutes)
	t = t.travel(w, o2, 0, metres, down)
	t = t.travel(w, o2, metres, metres, minutes-down)
	return t.travel(w, o2, metres, 0, metres/upSpeed)
}

// surfaces tells whether no limit is broken at the surface: Pt <= P + GF (a + P/b - P).
func (t tissues) surfaces(w sea, gf float64) bool {
	for i := range t {
		a, b := zhl16c[i][1], zhl16c[i][2]
		if t[i] > w.surface+gf/100*(a+w.surface/b-w.surface)+exactly {
			return false
		}
	}
	return true
}

// unlimited stands for a no-stop time without an end; so does every time over a day.
const unlimited = -1

// noStop is the longest bottom time, descent included, from which a direct ascent
// breaks no limit; in whole minutes, rounded down. A gas that can't be dived even
// for the descent, or for a whole minute, has 0.
func (t tissues) noStop(w sea, o2, metres, gf float64) int {
	fits := func(minutes float64) bool { return t.after(w, o2, metres, minutes).surfaces(w, gf) }
	shortest := metres / downSpeed
	if !fits(shortest) {
		return 0
	}
	if fits(100000) {
		return unlimited
	}
	good, bad := int(math.Floor(shortest)), 100000
	for bad-good > 1 {
		if middle := (good + bad) / 2; fits(float64(middle)) {
			good = middle
		} else {
			bad = middle
		}
	}
	return good
}

// noStopAsked is everything that a no-stop time depends on.
type noStopAsked struct {
	tissues        tissues
	sea            sea
	o2, metres, gf float64
}

// noStopOf remembers the no-stop times that were worked out on a day: the same question has the same answer.
func (d *Day) noStopOf(a noStopAsked) int {
	known, ok := d.noStops[a]
	if !ok {
		known = a.tissues.noStop(a.sea, a.o2, a.metres, a.gf)
		d.noStops[a] = known
	}
	return known
}
