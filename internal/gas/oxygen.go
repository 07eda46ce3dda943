package gas

import "math"

// oxygenRow is one row of the oxygen limits: ppO2 in atm, minutes in a single
// exposure and in 24 hours.
type oxygenRow struct{ ppo2, single, day float64 }

// oxygenTable are the oxygen exposure limits for normal exposures. Source: NOAA
// Diving Manual, 4th ed. (2001); see testdata/gas/oxygen_limits.csv. The first
// row is no limit of NOAA's: 900 min at 0.5 is where the first interval starts.
var oxygenTable = [...]oxygenRow{
	{0.5, 900, 900}, {0.6, 720, 720}, {0.7, 570, 570}, {0.8, 450, 450}, {0.9, 360, 360}, {1.0, 300, 300},
	{1.1, 240, 270}, {1.2, 210, 240}, {1.3, 180, 210}, {1.4, 150, 180}, {1.5, 120, 180}, {1.6, 45, 150},
}

// oxygenEnd is where the table of oxygen limits ends, atm.
const oxygenEnd = 1.6

// Oxygen is an exposure to oxygen.
type Oxygen struct {
	CNS   float64 // percent of the single-exposure limits
	CNS24 float64 // percent of the 24-hour limits
	OTU   float64 // oxygen tolerance units
}

// plus adds another exposure.
func (o Oxygen) plus(p Oxygen) Oxygen {
	return Oxygen{CNS: o.CNS + p.CNS, CNS24: o.CNS24 + p.CNS24, OTU: o.OTU + p.OTU}
}

// OxygenOf is the oxygen exposure of one dive: down at 18 m/min counted in the
// minutes, at the depth until they are over, directly up at 9 m/min, pressures
// by the trade's rule. ok is false above 1.6 atm, where the table has no value
// and none is made up, and for what is no dive.
func (p Place) OxygenOf(o2 Percent, d Depth, minutes float64) (o Oxygen, ok bool) {
	if !p.Valid() || !o2.Known() || !d.valid() || !(minutes > 0 && minutes <= longestDive) {
		return Oxygen{}, false
	}
	surface, bottom := float64(p.PPO2(o2, Depth{Unit: p.Unit})), float64(p.PPO2(o2, d))
	if over(bottom, oxygenEnd) {
		return Oxygen{}, false
	}
	down, up := math.Min(d.Metres()/descentSpeed, minutes), d.Metres()/ascentSpeed
	return exposure(surface, bottom, down).plus(exposure(bottom, bottom, minutes-down)).plus(exposure(bottom, surface,
		up)), true
}

// longestDive bounds planned minutes, so that no sum overflows.
const longestDive = 10000

// exposure is that of so many minutes during which the ppO2 goes evenly from
// one value to another, in closed form. CNS: 100 minutes / limit, the limit
// linear between the rows. OTU: t ((ppO2 - 0.5)/0.5)^0.83 above 0.5 (Hamilton,
// Kenyon, Peterson, NOAA TR 88-1B, 1988).
func exposure(from, to, minutes float64) Oxygen {
	if to < from {
		from, to = to, from
	}
	to = math.Min(to, oxygenEnd)
	if minutes <= 0 || to <= 0.5 {
		return Oxygen{}
	}
	if to-from < exactly {
		return constant(to, minutes)
	}
	perAtm := minutes / (to - from)
	var o Oxygen
	for i := 1; i < len(oxygenTable); i++ {
		a, b := max(from, oxygenTable[i-1].ppo2), min(to, oxygenTable[i].ppo2)
		if a >= b {
			continue
		}
		single, day := overInterval(i, a, b)
		o.CNS += 100 * perAtm * single
		o.CNS24 += 100 * perAtm * day
	}
	above := func(p float64) float64 { return math.Pow(math.Max(0, p-0.5)/0.5, 1.83) }
	o.OTU = perAtm * 0.5 / 1.83 * (above(to) - above(from))
	return o
}

// constant is the exposure at one ppO2, not above the end of the table.
func constant(ppo2, minutes float64) Oxygen {
	if ppo2 <= 0.5 {
		return Oxygen{}
	}
	i := 1
	for i < len(oxygenTable)-1 && ppo2 > oxygenTable[i].ppo2 {
		i++
	}
	lo, hi := oxygenTable[i-1], oxygenTable[i]
	at := (ppo2 - lo.ppo2) / (hi.ppo2 - lo.ppo2)
	return Oxygen{
		CNS:   100 * minutes / (lo.single + at*(hi.single-lo.single)),
		CNS24: 100 * minutes / (lo.day + at*(hi.day-lo.day)),
		OTU:   minutes * math.Pow((ppo2-0.5)/0.5, 0.83),
	}
}

// overInterval integrates 1/limit over the ppO2 from a to b, between row i and
// the one before, for a single exposure and for 24 hours. A ramp goes through
// most intervals from end to end.
func overInterval(i int, a, b float64) (single, day float64) {
	lo, hi := oxygenTable[i-1], oxygenTable[i]
	if a == lo.ppo2 && b == hi.ppo2 {
		return wholeIntervals[i][0], wholeIntervals[i][1]
	}
	return overLimit(a, b, lo.ppo2, hi.ppo2, lo.single, hi.single), overLimit(a, b, lo.ppo2, hi.ppo2, lo.day, hi.day)
}

// wholeIntervals are overInterval from row to row.
var wholeIntervals = func() (whole [len(oxygenTable)][2]float64) {
	for i := 1; i < len(oxygenTable); i++ {
		lo, hi := oxygenTable[i-1], oxygenTable[i]
		whole[i] = [2]float64{overLimit(lo.ppo2, hi.ppo2, lo.ppo2, hi.ppo2, lo.single, hi.single),
			overLimit(lo.ppo2, hi.ppo2, lo.ppo2, hi.ppo2, lo.day, hi.day)}
	}
	return whole
}()

// overLimit integrates 1/limit over the ppO2 from a to b, between two rows.
func overLimit(a, b, lo, hi, limitLo, limitHi float64) float64 {
	slope := (limitHi - limitLo) / (hi - lo)
	if slope == 0 {
		return (b - a) / limitLo
	}
	return math.Log((limitLo+slope*(b-lo))/(limitLo+slope*(a-lo))) / slope
}
