// Package gastest makes divers for property tests: plausible ones, odd ones
// and ones whose numbers are no numbers at all.
package gastest

import (
	"math"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
)

// Start is when the first dive of a generated diver starts.
var Start = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)

// number is mostly within lo and hi, at times right at an edge, and at times
// nothing that can be computed with.
func number(t *rapid.T, name string, lo, hi float64) float64 {
	switch rapid.IntRange(0, 29).Draw(t, name+" kind") {
	case 0:
		return rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e300, 5e-324}).Draw(t, name+" odd")
	case 1:
		return rapid.SampledFrom([]float64{lo, hi}).Draw(t, name+" edge")
	case 2, 3, 4:
		return rapid.Float64Range(lo, hi).Draw(t, name+" any")
	}
	return float64(rapid.IntRange(int(lo*10), int(hi*10)).Draw(t, name)) / 10
}

// sometimes is a value, or none.
func sometimes(t *rapid.T, name string, lo, hi float64) float64 {
	if rapid.Bool().Draw(t, name+" given") {
		return number(t, name, lo, hi)
	}
	return 0
}

// Policy is a valid policy, mostly near the default.
func Policy(t *rapid.T) gas.Policy {
	p := gas.DefaultPolicy()
	if rapid.Bool().Draw(t, "default policy") {
		return p
	}
	p.PPO2 = gas.PPO2(rapid.IntRange(100, 140).Draw(t, "ppo2")) / 100
	p.PPO2Max = gas.PPO2(rapid.IntRange(int(p.PPO2*100+0.5), 160).Draw(t, "ppo2 max")) / 100
	p.MaxO2 = gas.Percent(rapid.IntRange(22, 40).Draw(t, "max o2"))
	p.GF = float64(rapid.IntRange(30, 100).Draw(t, "gf"))
	p.OxygenCredit = rapid.Bool().Draw(t, "oxygen credit")
	p.FreshFor = float64(rapid.IntRange(1, 24).Draw(t, "fresh for"))
	return p
}

// Place is a valid place.
func Place(t *rapid.T) gas.Place {
	return gas.Place{
		Unit:     rapid.SampledFrom([]gas.Unit{gas.Metres, gas.Feet}).Draw(t, "unit"),
		Water:    rapid.SampledFrom([]gas.Water{gas.Salt, gas.Fresh}).Draw(t, "water"),
		Altitude: rapid.SampledFrom([]float64{0, 0, 0, 300, 1500, 2999.5}).Draw(t, "altitude"),
	}
}

// Depth is a depth of roughly lo to hi metres in unit u.
func Depth(t *rapid.T, name string, u gas.Unit, lo, hi float64) gas.Depth {
	if u == gas.Feet {
		return gas.Ft(number(t, name, math.Ceil(lo/gas.MetresPerFoot), math.Floor(hi/gas.MetresPerFoot)))
	}
	return gas.M(number(t, name, lo, hi))
}

// Dive is a plan, at times without some or all that it needs.
func Dive(t *rapid.T, n int, place gas.Place) gas.Dive {
	d := gas.Dive{Number: n, Place: place, Depth: Depth(t, "depth", place.Unit, 3, 60), Start: Start.Add(time.Duration(n) * time.Hour)}
	switch rapid.IntRange(0, 3).Draw(t, "bottom") {
	case 0:
		d.Bottom = Depth(t, "bottom depth", place.Unit, 3, 90)
	case 1:
		d.Bottomless = true
	}
	d.Minutes = sometimes(t, "minutes", 1, 90)
	if rapid.IntRange(0, 4).Draw(t, "dived") == 0 {
		d.DivedDepth, d.DivedMinutes = Depth(t, "dived depth", place.Unit, 3, 60), number(t, "dived minutes", 1, 90)
	}
	if n > 1 {
		d.Interval = number(t, "interval", 0, 240)
	}
	return d
}

// Reading is one analysis.
func Reading(t *rapid.T) gas.Reading {
	return gas.Reading{
		Percent:    gas.Percent(number(t, "percent", 19, 42)),
		At:         Start.Add(time.Duration(rapid.IntRange(-40*60, 60).Draw(t, "at")) * time.Minute),
		Analyser:   rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "analyser"),
		Stage:      rapid.SampledFrom([]gas.Stage{gas.Dock, gas.Boat}).Draw(t, "stage"),
		By:         rapid.SampledFrom([]gas.Entrant{gas.ByDiver, gas.ByDiver, gas.Witnessed, gas.ByShop}).Draw(t, "by"),
		Shown:      rapid.SampledFrom([]gas.Shown{gas.ShownUnasked, gas.ShownDecimals, gas.ShownNoDecimal}).Draw(t, "shown"),
		Hurried:    rapid.Bool().Draw(t, "hurried"),
		Replaced:   gas.Percent(sometimes(t, "replaced", 19, 42)),
		Calibrated: rapid.Bool().Draw(t, "calibrated"),
		AirPoint:   gas.Percent(sometimes(t, "air point", 20, 21.3)),
		Weather: gas.Weather{Celsius: number(t, "celsius", 0, 40), Humidity: number(t, "humidity", 0, 100),
			Known: rapid.Bool().Draw(t, "weather known")},
	}
}

// Cylinder is one cylinder for a dive.
func Cylinder(t *rapid.T, key string, d gas.Dive) gas.Cylinder {
	c := gas.Cylinder{Key: key, Dive: d,
		Asked:     gas.Percent(sometimes(t, "asked", 21, 40)),
		Readings:  rapid.SliceOfN(rapid.Custom(Reading), 0, 4).Draw(t, "readings"),
		Claims:    rapid.IntRange(0, 2).Draw(t, "claims"),
		Due:       rapid.SampledFrom([]gas.Due{gas.DueAny, gas.DueAny, gas.DueBoatQuestion, gas.DueBoatReading}).Draw(t, "due"),
		Replanned: rapid.Bool().Draw(t, "replanned"),
	}
	if rapid.IntRange(0, 3).Draw(t, "co measured") == 0 {
		c.CO = gas.Amount{Value: number(t, "co", 0, 12), Known: true}
	}
	if rapid.IntRange(0, 9).Draw(t, "filled") == 0 {
		c.Filled = Start.Add(-time.Hour)
	}
	return c
}

// Diver is a diver with one or two cylinders, each for its own dive, or none.
func Diver(t *rapid.T) gas.Diver {
	place := Place(t)
	d := gas.Diver{
		Card:       rapid.SampledFrom([]gas.Card{gas.CardSeen, gas.CardSeen, gas.CardNone, gas.CardUnseen}).Draw(t, "card"),
		DepthLimit: optionalDepth(t, "depth limit", place.Unit),
		SetDepth:   optionalDepth(t, "set depth", place.Unit),
	}
	d.OwnComputer = rapid.IntRange(0, 9).Draw(t, "own computer") == 0
	if rapid.IntRange(0, 3).Draw(t, "past") == 0 {
		d.Past = []gas.Cylinder{Cylinder(t, "c0", Dive(t, 0, place))}
	}
	for n := 1; n <= rapid.IntRange(0, 2).Draw(t, "cylinders"); n++ {
		d.Cylinders = append(d.Cylinders, Cylinder(t, "c"+string(rune('0'+n)), Dive(t, n, place)))
	}
	return d
}

func optionalDepth(t *rapid.T, name string, u gas.Unit) gas.Depth {
	if rapid.Bool().Draw(t, name+" given") {
		return Depth(t, name, u, 5, 50)
	}
	return gas.Depth{}
}
