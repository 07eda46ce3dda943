package gas

import "math"

// compartment is one tissue compartment for nitrogen: k = ln 2 / half-time in
// 1/min, and the coefficients of its limit, a in bar.
type compartment struct{ k, a, b float64 }

// ZHL-16C, nitrogen, with the 5-minute first compartment (1b): half-time in
// minutes, a in bar, b. Source: Buehlmann, Voellm, Nussberger, Tauchmedizin,
// 5th ed., Springer 2002; see testdata/gas/zhl16c_nitrogen.csv.
var zhl16c = [compartments][3]float64{
	{5, 1.1696, 0.5578}, {8, 1.0000, 0.6514}, {12.5, 0.8618, 0.7222}, {18.5, 0.7562, 0.7825},
	{27, 0.6200, 0.8126}, {38.3, 0.5043, 0.8434}, {54.3, 0.4410, 0.8693}, {77, 0.4000, 0.8910},
	{109, 0.3750, 0.9092}, {146, 0.3500, 0.9222}, {187, 0.3295, 0.9319}, {239, 0.3065, 0.9403},
	{305, 0.2835, 0.9477}, {390, 0.2610, 0.9544}, {498, 0.2480, 0.9602}, {635, 0.2327, 0.9653},
}

const compartments = 16

// model is zhl16c with rates instead of half-times.
var model = func() (m [compartments]compartment) {
	for i, c := range zhl16c {
		m[i] = compartment{k: math.Ln2 / c[0], a: c[1], b: c[2]}
	}
	return m
}()

// The physics of tissues: water vapour in the lungs in bar, the nitrogen of
// air as a fraction (Buehlmann), and the speeds of the definition of the
// no-stop time in m/min.
const (
	waterVapour  = 0.0627
	airNitrogen  = 0.79
	descentSpeed = 18.0
	ascentSpeed  = 9.0
	gravity      = 9.80665 // m/s2
)

// barPerMetre is the weight of one metre of water: 1025 kg/m3 for the sea,
// 1000 for fresh water.
func (w Water) barPerMetre() float64 {
	if w == Fresh {
		return 1000 * gravity / 1e5
	}
	return 1025 * gravity / 1e5
}

// tissues are the nitrogen pressures of the compartments, bar.
type tissues [compartments]float64

// saturated are the tissues of somebody adapted to the pressure at the
// surface, bar.
func saturated(surface float64) tissues {
	var t tissues
	for i := range t {
		t[i] = (surface - waterVapour) * airNitrogen
	}
	return t
}

// stay is so many minutes at a constant alveolar nitrogen pressure in bar.
// Source: Haldane; Buehlmann.
func (t *tissues) stay(alveolar, minutes float64) {
	for i := range t {
		t[i] = alveolar + (t[i]-alveolar)*math.Exp(-model[i].k*minutes)
	}
}

// ramp is so many minutes with an alveolar nitrogen pressure that starts at
// from and changes by rate bar/min. Source: Schreiner.
func (t *tissues) ramp(from, rate, minutes float64) {
	for i := range t {
		k := model[i].k
		t[i] = from + rate*(minutes-1/k) - (from-t[i]-rate/k)*math.Exp(-k*minutes)
	}
}

// water is a column of water with the air above it: what turns metres into bar.
type water struct{ surface, perMetre float64 }

// physical is the place as physics sees it. Source: ISO 2533 for the surface.
func (p Place) physical() water {
	return water{surface: AirPressure(p.Altitude), perMetre: p.Water.barPerMetre()}
}

// alveolar is the alveolar nitrogen pressure of a gas at a depth in metres, bar.
func (w water) alveolar(nitrogen, metres float64) float64 {
	return (w.surface + w.perMetre*metres - waterVapour) * nitrogen
}

// dive loads the tissues with a dive: down at 18 m/min counted in the minutes,
// at the depth until they are over, directly up at 9 m/min. A dive shorter
// than its descent goes down faster.
func (t *tissues) dive(w water, nitrogen, metres, minutes float64) {
	down := math.Min(metres/descentSpeed, minutes)
	up := metres / ascentSpeed
	top, bottom := w.alveolar(nitrogen, 0), w.alveolar(nitrogen, metres)
	if down > 0 {
		t.ramp(top, (bottom-top)/down, down)
	}
	t.stay(bottom, minutes-down)
	t.ramp(bottom, (top-bottom)/up, up)
}

// rest is so many minutes of air at the surface.
func (t *tissues) rest(w water, minutes float64) {
	t.stay(w.alveolar(airNitrogen, 0), minutes)
}
