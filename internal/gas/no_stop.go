package gas

import "math"

// NoStop is a no-stop time: the longest bottom time, descent included, from
// which a direct ascent breaks no limit.
type NoStop struct {
	State   NoStopState `json:"state"`
	Minutes float64     `json:"minutes"` // unrounded; counts only when State is NoStopLimited
}

// NoStopState tells whether there is a no-stop time. The zero value means that
// none was computed.
type NoStopState uint8

// The states: not computed; a number of minutes; no compartment ever reaches
// its limit; no time at all, not even for the descent.
const (
	NoStopUnknown NoStopState = iota
	NoStopLimited
	NoStopUnlimited
	NoStopNone
)

var noStopNames = [...]string{"unknown", "limited", "unlimited", "none"}

// String is the word of the interface.
func (s NoStopState) String() string { return noStopNames[min(int(s), len(noStopNames)-1)] }

// MarshalText writes the word of the interface.
func (s NoStopState) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word of the interface; an unknown word is NoStopUnknown.
func (s *NoStopState) UnmarshalText(b []byte) error {
	*s = NoStopUnknown
	for i, n := range noStopNames {
		if n == string(b) {
			*s = NoStopState(i)
		}
	}
	return nil
}

// NoStopMinutes is the no-stop time in whole minutes, rounded down; 0 when
// there is none to hold to.
func (n Numbers) NoStopMinutes() float64 {
	whole, _ := n.NoStop.whole()
	return whole
}

// noStop is the no-stop time of a gas at a depth in metres for tissues at the
// start of the dive, with a gradient factor as a fraction.
//
// It is the longest bottom time, descent at 18 m/min included, from which a
// direct ascent at 9 m/min breaks no limit Pt <= Pamb + GF (a + Pamb/b - Pamb)
// (Baker). Only the limit at the surface has to be looked at: on the way up
// the tissue pressure less its limit is concave in time (a tissue is never so
// far above the alveolar pressure that the sign turns), and at a surface where
// no limit is broken it still rises, so that it is greatest there. A test
// holds this against an integration that looks at every step.
//
// Each compartment has a closed form: the surface limit turned back through
// the ascent (Schreiner) gives the pressure it may have on leaving the bottom,
// and that the minutes until it gets there (Haldane).
func (t *tissues) noStop(w water, nitrogen, metres, gf float64) NoStop {
	down, up := metres/descentSpeed, metres/ascentSpeed
	top, bottom := w.alveolar(nitrogen, 0), w.alveolar(nitrogen, metres)
	fall, rise := (top-bottom)/up, (bottom-top)/down
	longest := math.Inf(1)
	for i := range t {
		c := &model[i]
		onDescent := math.Exp(-c.k * down)
		onAscent := onDescent * onDescent // the ascent takes twice the descent
		limit := w.surface + gf*(c.a+w.surface/c.b-w.surface)
		most := bottom - fall/c.k + (limit-bottom-fall*(up-1/c.k))/onAscent
		arrived := top + rise*(down-1/c.k) - (top-t[i]-rise/c.k)*onDescent
		switch {
		case arrived > most:
			return NoStop{State: NoStopNone}
		case bottom > most:
			// ln y >= 2 (y-1)/(y+1) for y >= 1: most compartments need no logarithm.
			y := (bottom - arrived) / (bottom - most)
			if 2*(y-1) < longest*c.k*(y+1) {
				longest = math.Min(longest, math.Log(y)/c.k)
			}
		}
	}
	if math.IsInf(longest, 1) {
		return NoStop{State: NoStopUnlimited}
	}
	return NoStop{State: NoStopLimited, Minutes: down + longest}
}

// NoStopTime is the no-stop time of a gas on the first dive of the day, for
// divers adapted to the altitude; gf is the gradient factor high in percent.
// Source: Buehlmann ZHL-16C; Baker; see noStop for the definition.
func (p Place) NoStopTime(o2 Percent, d Depth, gf float64) NoStop {
	if !d.valid() || !o2.Known() || !p.Valid() || !(gf > 0 && gf <= 100) {
		return NoStop{}
	}
	w := p.physical()
	t := saturated(w.surface)
	return t.noStop(w, 1-o2.Fraction(), d.Metres(), gf/100)
}

// whole is the no-stop time as people are told it, rounded down; ok is false
// when there is no number to hold to.
func (n NoStop) whole() (minutes float64, ok bool) {
	if n.State != NoStopLimited {
		return 0, false
	}
	return math.Floor(n.Minutes + exactly), true
}

// allows tells whether so many planned minutes keep within the whole minutes
// shown.
func (n NoStop) allows(minutes float64) bool {
	whole, limited := n.whole()
	return n.State == NoStopUnlimited || (limited && !over(minutes, whole))
}
