package evidence

import (
	"slices"

	"gasmuster/internal/gas"
)

// What an analyser may show in air whose weather is not known: dry air has
// 20.95 %, warm humid air down to 20.2; 20.9 +- 0.2 needs no remark. The ranges
// are common practice, no source.
const (
	airLow   gas.Percent = 20.2
	airNote  gas.Percent = 20.7
	airHigh  gas.Percent = 21.1
	airUsual gas.Percent = 20.9
)

// airSpread is how far from the true oxygen of its air an analyser may lie,
// points. Common practice, no source.
const airSpread gas.Percent = 0.2

// airPointOf judges what the analyser of a reading showed in air: against the
// true oxygen of that air where the weather is known.
func airPointOf(r *Reading) gas.AirPoint {
	if r.AirPoint == 0 {
		return gas.AirPoint{}
	}
	a := gas.AirPoint{State: gas.AirPointFits, Shown: r.AirPoint, Lo: airLow, Hi: airHigh}
	air := r.Weather.Oxygen(r.Altitude)
	if air.Known() {
		a.Lo, a.Hi = air-airSpread, air+airSpread
	}
	switch {
	case !(r.AirPoint >= a.Lo-point && r.AirPoint <= a.Hi+point):
		a.State = gas.AirPointOff
	case !air.Known() && over(float64(airNote), float64(r.AirPoint)):
		a.State = gas.AirPointLow
	}
	return a
}

// wasOff tells whether the analyser was known to be off when the reading was said. What is known only later takes
// away that it counts, and nothing that it asks or costs.
func (r *Reading) wasOff() bool { return airPointOf(r).State == gas.AirPointOff && !r.AirLater }

// humid is the true oxygen of the air that an analyser was set to 20.9 in, where it was not looked at in that air:
// a later look at it that fails changes nothing.
func (r *Reading) humid() gas.Percent {
	switch {
	case r.AirPoint == 0:
		return r.Weather.Oxygen(r.Altitude)
	case r.AirLater && airPointOf(r).State == gas.AirPointOff:
		return r.WeatherWas.Oxygen(r.Altitude)
	}
	return 0
}

// span is what a reading counts as: for depth, for time, and for time without
// what humid air takes. An analyser without decimals shows 32 for anything from
// 31.5 to 32.5; one whose air point is low reads low; one that was set to 20.9 in
// humid air reads high.
func span(r *Reading) (rich, lean, dry gas.Percent) {
	rich, lean = r.Percent, r.Percent
	if r.Shown == gas.ShownNoDecimal {
		rich, lean = rich+0.5, max(lean-0.5, 0.1)
	}
	air := r.Weather.Oxygen(r.Altitude)
	if r.AirPoint.Known() && !air.Known() && r.AirPoint < airUsual {
		rich = rich * airUsual / r.AirPoint
	}
	dry = lean
	if humid := r.humid(); humid.Known() {
		lean = min(lean, lean*humid/airUsual)
	}
	return min(rich, 100), lean, dry
}

// Rich is what a reading counts as for depth, percent.
func (r *Reading) Rich() gas.Percent {
	rich, _, _ := span(r)
	return rich
}

// airPoint is the worst of the readings that count; where none does, or would but
// for its age, of those that do not because of it.
func (f *finder) airPoint(e *gas.Evidence) {
	other := slices.ContainsFunc(f.items, func(it item) bool { return it.eligible })
	for i := range f.items {
		it := &f.items[i]
		if !it.counts() && (other || it.why != gas.AbsentAirPoint) {
			continue
		}
		if a := airPointOf(it.r); a.State >= e.AirPoint.State {
			e.AirPoint = a
		}
	}
}
