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
	p := gas.DefaultPolicy(rapid.SampledFrom([]gas.Unit{gas.Metres, gas.Feet}).Draw(t, "policy unit"))
	if rapid.Bool().Draw(t, "default policy") {
		return p
	}
	p.PPO2 = gas.PPO2(rapid.IntRange(100, 140).Draw(t, "ppo2")) / 100
	p.PPO2Max = gas.PPO2(rapid.IntRange(int(p.PPO2*100+0.5), 160).Draw(t, "ppo2 max")) / 100
	p.MaxO2 = gas.Percent(rapid.IntRange(22, 40).Draw(t, "max o2"))
	p.GF = float64(rapid.IntRange(30, 95).Draw(t, "gf"))
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
	d := gas.Dive{Number: n, Place: place, Depth: Depth(t, "depth", place.Unit, 3, 60),
		Start: Start.Add(time.Duration(n) * time.Hour)}
	switch rapid.IntRange(0, 3).Draw(t, "bottom") {
	case 0:
		d.Bottom = Depth(t, "bottom depth", place.Unit, 3, 90)
	case 1:
		d.Bottomless = true
	}
	d.Minutes = sometimes(t, "minutes", 1, 90)
	if n > 1 {
		d.Interval = number(t, "interval", 0, 240)
	}
	return d
}

// Evidence is what some readings come to: one that counts, several, or nothing.
func Evidence(t *rapid.T) gas.Evidence {
	var e gas.Evidence
	for range rapid.IntRange(0, 3).Draw(t, "readings") {
		r := gas.Read(gas.Percent(number(t, "percent", 19, 42)))
		if !r.Rich.Known() {
			continue
		}
		if len(e.Compared) == 0 {
			e.Rich, e.Lean, e.Dry = r.Rich, r.Lean, r.Dry
		}
		e.Rich, e.Lean, e.Dry = max(e.Rich, r.Rich), min(e.Lean, r.Lean), min(e.Dry, r.Dry)
		e.Compared = append(e.Compared, r.Compared...)
		if rapid.IntRange(0, 3).Draw(t, "counts") > 0 {
			e.Counting = append(e.Counting, r.Counting...)
		}
	}
	e.Absent = gas.Absent(rapid.IntRange(0, 12).Draw(t, "absent")) // #nosec G115 -- drawn from 0 to 12
	e.Unsettled = len(e.Compared) > 1 && rapid.Bool().Draw(t, "unsettled")
	e.Apart = gas.Apart{Known: len(e.Compared) > 1, Points: number(t, "apart", 0, 5), Note: 0.5, Settle: 1}
	e.Slip = gas.Slip{State: gas.SlipState(rapid.IntRange(0, 5).Draw(t, "slip")), Was: gas.Percent(number(t, "was", 19, 42))}       // #nosec G115 -- drawn from 0 to 5
	e.Measured.State = gas.MeasuredState(rapid.IntRange(0, 5).Draw(t, "measured"))                                                  // #nosec G115 -- drawn from 0 to 5
	e.AirPoint = gas.AirPoint{State: gas.AirPointState(rapid.IntRange(0, 4).Draw(t, "air point")), Shown: 20.9, Lo: 20.2, Hi: 21.1} // #nosec G115 -- drawn from 0 to 4
	e.LeanUnseen, e.AirAsked = rapid.Bool().Draw(t, "lean unseen"), rapid.Bool().Draw(t, "air asked")
	if rapid.IntRange(0, 3).Draw(t, "co measured") == 0 {
		e.CO = gas.Amount{Value: number(t, "co", 0, 12), Known: true}
	}
	return e
}

// Cylinder is one cylinder.
func Cylinder(t *rapid.T, key string) gas.Cylinder {
	return gas.Cylinder{Key: key, Asked: gas.Percent(sometimes(t, "asked", 21, 40)), Evidence: Evidence(t),
		Claims:   rapid.IntRange(0, 2).Draw(t, "claims"),
		Question: rapid.IntRange(0, 9).Draw(t, "question") == 0, LeftBehind: rapid.IntRange(0, 9).Draw(t, "left behind") == 0}
}

// Diver is a diver on one dive with up to two cylinders.
func Diver(t *rapid.T) gas.Diver {
	place := Place(t)
	d := gas.Diver{
		Card:       rapid.SampledFrom([]gas.Card{gas.CardSeen, gas.CardSeen, gas.CardNone, gas.CardUnseen}).Draw(t, "card"),
		DepthLimit: optionalDepth(t, "depth limit", place.Unit),
		Set:        gas.Limit{Depth: optionalDepth(t, "set depth", place.Unit), Minutes: sometimes(t, "set minutes", 1, 90)},
		Team:       gas.Limit{Depth: optionalDepth(t, "team depth", place.Unit)},
		Dive:       Dive(t, rapid.IntRange(1, 3).Draw(t, "dive"), place),
		Needed:     rapid.Bool().Draw(t, "needed"),
	}
	d.OwnComputer = rapid.IntRange(0, 9).Draw(t, "own computer") == 0
	d.Left, d.Speak = rapid.IntRange(0, 9).Draw(t, "left") == 0, rapid.IntRange(0, 9).Draw(t, "speak") == 0
	if rapid.IntRange(0, 3).Draw(t, "before") == 0 {
		before := Dive(t, 0, place)
		d.Before = []gas.Leg{{Place: place, Depth: before.Depth, Minutes: before.Minutes,
			Rich: gas.Percent(number(t, "before rich", 21, 40)),
			Lean: gas.Percent(number(t, "before lean", 21, 40)), AtSurface: rapid.Bool().Draw(t, "at surface")}}
	}
	for n := 1; n <= rapid.IntRange(0, 2).Draw(t, "cylinders"); n++ {
		d.Cylinders = append(d.Cylinders, Cylinder(t, "c"+string(rune('0'+n))))
	}
	return d
}

func optionalDepth(t *rapid.T, name string, u gas.Unit) gas.Depth {
	if rapid.Bool().Draw(t, name+" given") {
		return Depth(t, name, u, 5, 50)
	}
	return gas.Depth{}
}
