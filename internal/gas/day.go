package gas

import (
	"math"
	"slices"
)

// leg is one dive of a diver's day, as it was dived or else as it is planned.
type leg struct {
	number            int
	place             Place
	depth             Depth
	minutes, interval float64
	rich, lean        Percent
}

// load is what a diver brings to a dive from those before.
type load struct {
	known    bool // the gas, depth, minutes and interval of every dive before are
	first    bool // there was none
	tissues  tissues
	oxygen   Oxygen
	offTable bool // some dive before had more oxygen than the table of limits
}

// dayOf appends the legs of a diver's day to those given, none, and orders
// them. Several cylinders of one dive are one leg, with the leanest gas for
// nitrogen and the richest for oxygen.
func dayOf(day []leg, past, subjects []subject) []leg {
	for i := range past {
		day = append(day, legOf(&past[i]))
	}
	for i := range subjects {
		day = append(day, legOf(&subjects[i]))
	}
	slices.SortStableFunc(day, func(a, b leg) int { return a.number - b.number })
	merged := day[:0]
	for _, l := range day {
		if n := len(merged); n > 0 && merged[n-1].number == l.number {
			merged[n-1].also(l)
			continue
		}
		merged = append(merged, l)
	}
	return merged
}

func legOf(s *subject) leg {
	d := &s.cyl.Dive
	l := leg{number: d.Number, place: d.Place, depth: s.depth, minutes: d.Minutes, interval: d.Interval, rich: s.rich, lean: s.lean}
	if d.DivedDepth.valid() {
		l.depth = d.DivedDepth
	}
	if d.DivedMinutes > 0 {
		l.minutes = d.DivedMinutes
	}
	return l
}

// also adds another cylinder of the same dive. One whose gas is not known
// leaves the dive's gas unknown.
func (l *leg) also(other leg) {
	if !l.lean.Known() || !other.lean.Known() {
		l.rich, l.lean = 0, 0
		return
	}
	l.rich, l.lean = max(l.rich, other.rich), min(l.lean, other.lean)
}

// known tells whether the leg can be reckoned with.
func (l *leg) known() bool {
	return l.place.Valid() && l.depth.valid() && l.lean.Known() && l.rich.Known() && validMinutes(l.minutes)
}

func validMinutes(m float64) bool { return m > 0 && m <= longestDive }

// creditHalfTime is that of the surface credit of the CNS clock, in minutes:
// a custom of the trade, no source.
const creditHalfTime = 90

// before is what a diver brings to the dive d: every earlier dive in order,
// each after its surface interval.
func before(day []leg, d *Dive, credit bool) load {
	w := d.Place.physical()
	l := load{known: true, first: true, tissues: saturated(w.surface)}
	for i := range day {
		leg := &day[i]
		if leg.number >= d.Number {
			break
		}
		if !leg.known() || (!l.first && !l.rest(leg.place, leg.interval, credit)) {
			return load{}
		}
		l.dive(leg)
	}
	if !l.first && !l.rest(d.Place, d.Interval, credit) {
		return load{}
	}
	return l
}

// rest is a surface interval; false when its length is not known.
func (l *load) rest(p Place, minutes float64, credit bool) bool {
	if !(minutes >= 0 && minutes <= longestDive) {
		return false
	}
	l.tissues.rest(p.physical(), minutes)
	if credit {
		l.oxygen.CNS *= math.Exp2(-minutes / creditHalfTime)
	}
	return true
}

// dive loads nitrogen by the leanest gas and oxygen by the richest.
func (l *load) dive(d *leg) {
	l.first = false
	l.tissues.dive(d.place.physical(), 1-d.lean.Fraction(), d.depth.Metres(), d.minutes)
	o, ok := d.place.OxygenOf(d.rich, d.depth, d.minutes)
	l.oxygen = l.oxygen.plus(o)
	l.offTable = l.offTable || !ok
}

// time works out what the day means for this cylinder's dive.
func (s *subject) time(day []leg) {
	if !s.planned || s.diver.OwnComputer {
		return
	}
	dive := &s.cyl.Dive
	s.load = before(day, dive, s.policy.OxygenCredit)
	if !s.load.known || !s.hasReading() {
		return
	}
	s.noStop = s.noStopFor(s.lean)
	if s.asked().Known() {
		s.noStopAsked = s.noStopFor(s.asked())
	}
	if o, ok := dive.Place.OxygenOf(s.rich, s.depth, dive.Minutes); ok && !s.load.offTable {
		s.oxygen, s.clocked = s.load.oxygen.plus(o), true
	}
}

// noStopFor is the no-stop time of a gas on this dive, after those before.
func (s *subject) noStopFor(o2 Percent) NoStop {
	return s.load.tissues.noStop(s.cyl.Dive.Place.physical(), 1-o2.Fraction(), s.depth.Metres(), s.policy.GF/100)
}

// timed tells whether planned minutes and a no-stop time are there to compare;
// otherwise which of the three reasons there is not.
func (s *subject) timed() (o timing) {
	switch {
	case s.diver.OwnComputer:
		return timeOwn
	case !s.planned || !validMinutes(s.cyl.Dive.Minutes):
		return timeNotGiven
	case !s.hasReading():
		return timeNotRead
	case !s.load.known:
		return timeDayUnknown
	}
	return timeKnown
}

// timing is whether a rule about time has what it needs.
type timing uint8

const (
	timeKnown timing = iota
	timeOwn
	timeNotGiven
	timeNotRead
	timeDayUnknown
)

// timeOutcomes are the outcomes of a rule about time that lacks what it needs,
// by timing.
func timeOutcomes(r Rule) [5]Outcome {
	return [5]Outcome{
		timeOwn:        {Rule: r, Case: "own-computer", Severity: NotApplicable},
		timeNotGiven:   {Rule: r, Case: "not-given", Severity: NotApplicable},
		timeNotRead:    notRead(r),
		timeDayUnknown: {Rule: r, Case: "day-unknown", Severity: NotApplicable},
	}
}
