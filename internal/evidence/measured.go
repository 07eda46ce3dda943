package evidence

import (
	"math"

	"gasmuster/internal/gas"
)

// measured looks for a number that looks as if no analyser had shown it, among
// those that count or would but for their age. What somebody watched later
// stands for what came before.
func (f *finder) measured(e *gas.Evidence) {
	var watched Moment
	for i := range f.items {
		if it := &f.items[i]; it.eligible && it.r.watched(f.c.Diver) && it.r.Puts == "" && watched.Before(it.r.moment()) {
			watched = it.r.moment()
		}
	}
	for i := range f.items {
		it := &f.items[i]
		if !f.mayAsk(it) || it.r.moment().Before(watched) {
			continue
		}
		if m := it.r.doubt(); m.State > e.Measured.State {
			e.Measured = m
		}
	}
}

// moment is when a reading was taken.
func (r *Reading) moment() Moment { return Moment{At: r.Taken, Nth: r.Nth} }

// mayAsk tells whether a number may be asked about: the diver's own, that counts
// or would but for its age, for an analyser of which it was said only later that it is off, or for a label that was
// given later.
func (f *finder) mayAsk(it *item) bool {
	turnedOff := it.why == gas.AbsentAirPoint && it.r.AirLater && !it.unshown
	return !it.r.shop() && it.r.Witness == "" && (it.eligible || turnedOff || it.relabelled)
}

func (r *Reading) doubt() gas.Measured {
	m := gas.Measured{State: gas.MeasuredPlain, Reading: r.ID, Percent: r.Percent}
	switch {
	case r.Shown == gas.ShownNoDecimal:
		m.State = gas.MeasuredWhole
	case r.Shown == gas.ShownDecimals:
		m.State = gas.MeasuredConfirmed
	case r.Hurried:
		m.State = gas.MeasuredHurried
	case r.asAsked():
		m.State = gas.MeasuredRound
	}
	return m
}

// asAsked tells whether a number is whole and equal to a request for the place that
// it was said of, which held when it was said or since.
func (r *Reading) asAsked() bool {
	if float64(r.Percent) != math.Trunc(float64(r.Percent)) {
		return false
	}
	for _, a := range r.Asked {
		if a.Percent == r.Percent && a.holds(r) {
			return true
		}
	}
	return false
}
