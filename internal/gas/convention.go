package gas

import "math"

// perAtmosphere is how much water weighs as much as one atmosphere, in the
// unit of the place. Sea water 10 m (common practice) and 33 ft (NOAA and US
// Navy manuals), fresh water 10.3 m and 34 ft.
func (p Place) perAtmosphere() float64 {
	switch {
	case p.Unit == Feet && p.Water == Fresh:
		return 34
	case p.Unit == Feet:
		return 33
	case p.Water == Fresh:
		return 10.3
	default:
		return 10
	}
}

// standardBar is the pressure of the standard atmosphere at sea level, bar.
const standardBar = 1.01325

// AirPressure is the pressure of the standard atmosphere at an altitude in
// metres, in bar. Source: ISO 2533, troposphere.
func AirPressure(altitude float64) float64 {
	return standardBar * math.Pow(1-2.25577e-5*altitude, 5.25588)
}

// surface is the pressure at the surface in atmospheres: 1 at sea level.
func (p Place) surface() float64 {
	if p.Altitude == 0 {
		return 1
	}
	return AirPressure(p.Altitude) / standardBar
}

// The altitudes that the check covers, in metres: from the lowest shore on
// earth to the end of ISO 2533's use in diving tables.
const (
	lowestAltitude  = -500
	highestAltitude = 5000
)

// Valid tells whether the place has a usable altitude.
func (p Place) Valid() bool {
	return p.Altitude >= lowestAltitude && p.Altitude <= highestAltitude && p.Unit <= Feet && p.Water <= Fresh
}

// Atmospheres is the pressure at a depth by the trade's rule, in atmospheres.
func (p Place) Atmospheres(d Depth) float64 {
	return p.surface() + d.convert(p.Unit).Value/p.perAtmosphere()
}

// PPO2 is the partial pressure of oxygen that a gas has at a depth.
// Source: Dalton.
func (p Place) PPO2(o2 Percent, d Depth) PPO2 {
	return PPO2(o2.Fraction() * p.Atmospheres(d))
}

// MOD is the maximum operating depth of a gas at a limit, exact, in the unit
// of the place; the zero depth when the gas is not known or reaches the limit
// at the surface. Source: NOAA Diving Manual, US Navy Diving Manual.
func (p Place) MOD(o2 Percent, limit PPO2) Depth {
	if !o2.Known() {
		return Depth{Unit: p.Unit}
	}
	v := (float64(limit)/o2.Fraction() - p.surface()) * p.perAtmosphere()
	return Depth{math.Max(0, math.Min(v, deepest)), p.Unit}
}

// deepest is the end of every depth, in either unit: a number that is far
// beyond any dive, and that leaves no infinity in a result.
const deepest = 1000

// EAD is the equivalent air depth: where air has the same partial pressure of
// nitrogen, exact, never above the surface. Source: US Navy Diving Manual,
// ch. 10, with its 79 % nitrogen.
func (p Place) EAD(o2 Percent, d Depth) Depth {
	surface := p.surface() * p.perAtmosphere()
	v := (d.convert(p.Unit).Value+surface)*(1-o2.Fraction())/0.79 - surface
	return Depth{math.Max(0, v), p.Unit}
}

// BestMix is the richest whole percentage that a depth allows at a limit,
// rounded down and never above most. 39.9999999999 is 40. Source: NOAA.
func (p Place) BestMix(d Depth, limit PPO2, most Percent) Percent {
	best := float64(limit) / p.Atmospheres(d) * 100
	return Percent(math.Floor(math.Min(best, float64(most)) + exactly))
}
