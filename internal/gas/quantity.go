package gas

import (
	"fmt"
	"math"
	"strings"
)

// Percent is an oxygen content by volume in percent, 0 to 100. The zero value
// means "not known": no breathable gas has it.
type Percent float64

// Known tells whether p holds a value that a gas can have.
func (p Percent) Known() bool { return p > 0 && p <= 100 }

// Fraction is the content as a fraction, 0 to 1.
func (p Percent) Fraction() float64 { return float64(p) / 100 }

// Air is what a request for air is stored as; EnrichedFrom is the content
// from which a gas counts as enriched air (nitrox) in the trade.
const (
	Air          Percent = 21
	EnrichedFrom Percent = 22
)

// Unit is the unit of a depth, and with it the trade's pressure convention:
// 10 m or 33 ft of sea water to one atmosphere.
type Unit uint8

// The two units of depth.
const (
	Metres Unit = iota
	Feet
)

// MetresPerFoot is exact by definition (international foot).
const MetresPerFoot = 0.3048

// String is the unit's symbol, "m" or "ft".
func (u Unit) String() string {
	if u == Feet {
		return "ft"
	}
	return "m"
}

// MarshalText writes "m" or "ft".
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText reads "m" or "ft".
func (u *Unit) UnmarshalText(b []byte) error {
	switch strings.ToLower(string(b)) {
	case "m", "":
		*u = Metres
	case "ft":
		*u = Feet
	default:
		return fmt.Errorf("unit %q: accepted are m and ft", b)
	}
	return nil
}

// Depth is a depth of water in metres or feet. Depths of different units are
// never compared by their values alone; see Metres and the In functions.
type Depth struct {
	Value float64 `json:"value"`
	Unit  Unit    `json:"unit"`
}

// M is a depth in metres, Ft one in feet.
func M(v float64) Depth { return Depth{v, Metres} }

// Ft is a depth in feet.
func Ft(v float64) Depth { return Depth{v, Feet} }

// Known tells whether the depth holds a value; the zero depth means "not given".
func (d Depth) Known() bool { return d.Value > 0 }

// Metres is the depth as a plain number of metres, unrounded.
func (d Depth) Metres() float64 {
	if d.Unit == Feet {
		return d.Value * MetresPerFoot
	}
	return d.Value
}

// exactly is how far two computed values may lie apart and still count as
// equal: 28 % at 40 m is exactly at the limit of 1.4, and passes.
const exactly = 1e-9

// Floor rounds the depth down to a whole number of its own unit, as a limit
// is. 39.9999999999 is 40: the last digits are arithmetic, not depth.
func (d Depth) Floor() Depth { return Depth{math.Floor(d.Value + exactly), d.Unit} }

// Ceil rounds the depth up to a whole number of its own unit, as a planned
// depth is.
func (d Depth) Ceil() Depth { return Depth{math.Ceil(d.Value - exactly), d.Unit} }

// LimitIn gives a limit (a MOD, a leader's limit) in unit u as people read
// it: whole, and converted from the whole value of its own unit to the safe,
// shallower side: 33 m is 108 ft.
func (d Depth) LimitIn(u Unit) Depth {
	if d.Unit == u {
		return d.Floor()
	}
	return d.Floor().convert(u).Floor()
}

// PlannedIn gives a planned depth in unit u to the safe, deeper side. In its
// own unit it is shown as given.
func (d Depth) PlannedIn(u Unit) Depth {
	if d.Unit == u {
		return d
	}
	return d.convert(u).Ceil()
}

func (d Depth) convert(u Unit) Depth {
	switch {
	case d.Unit == u:
		return d
	case u == Feet:
		return Ft(d.Value / MetresPerFoot)
	default:
		return M(d.Value * MetresPerFoot)
	}
}

// String is the depth with its unit, for logs and labels: "33.5 m".
func (d Depth) String() string {
	return fmt.Sprintf("%s %s", trimFloat(d.Value), d.Unit)
}

// DeeperThan tells whether d is deeper than e, with the tolerance that makes
// an exact hit count as equal.
func (d Depth) DeeperThan(e Depth) bool {
	if d.Unit == e.Unit {
		return d.Value > e.Value+exactly
	}
	return d.Metres() > e.Metres()+exactly
}

func trimFloat(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}

// Water is the kind of water dived in.
type Water uint8

// Salt water, the default, and fresh.
const (
	Salt Water = iota
	Fresh
)

// String is "salt" or "fresh".
func (w Water) String() string {
	if w == Fresh {
		return "fresh"
	}
	return "salt"
}

// MarshalText writes "salt" or "fresh".
func (w Water) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads "salt" or "fresh".
func (w *Water) UnmarshalText(b []byte) error {
	switch strings.ToLower(string(b)) {
	case "salt", "":
		*w = Salt
	case "fresh":
		*w = Fresh
	default:
		return fmt.Errorf("water %q: accepted are salt and fresh", b)
	}
	return nil
}

// PPO2 is a partial pressure of oxygen in atmospheres.
type PPO2 float64

// Place is what turns depth into pressure: water, altitude in metres, and the
// unit whose convention the trip uses. Divers are assumed adapted to the
// altitude.
type Place struct {
	Unit     Unit
	Water    Water
	Altitude float64 // metres above sea level
}
