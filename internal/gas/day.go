package gas

import "math"

// load is what a diver brings to a dive from those before.
type load struct {
	known    bool // depth, minutes and interval of every dive before are
	first    bool // there was none
	tissues  tissues
	oxygen   Oxygen
	offTable bool // some dive before had more oxygen than the table of limits
}

// known tells whether the leg can be reckoned with.
func (l *Leg) known() bool {
	if l.AtSurface {
		return l.Minutes >= 0 && l.Minutes <= longestDive
	}
	return l.Place.Valid() && l.Depth.valid() && l.Lean.Known() && l.Rich.Known() && validMinutes(l.Minutes)
}

func validMinutes(m float64) bool { return m > 0 && m <= longestDive }

// creditHalfTime is that of the surface credit of the CNS clock, in minutes:
// a custom of the trade, no source.
const creditHalfTime = 90

// before is what a diver brings to the dive d: every earlier dive in order,
// each after its surface interval. The day begins adapted to the altitude of its
// first dive.
func before(day []Leg, d *Dive, credit bool) load {
	home := d.Place
	if len(day) > 0 {
		home = day[0].Place
	}
	l := load{known: true, first: true, tissues: saturated(home.physical().surface)}
	for i := range day {
		leg := &day[i]
		if !leg.known() || (i > 0 && !l.rest(leg.Place, leg.Interval, credit)) {
			return load{}
		}
		if leg.AtSurface {
			l.rest(leg.Place, leg.Minutes, credit)
		} else {
			l.dive(leg)
		}
	}
	if len(day) > 0 && !l.rest(d.Place, d.Interval, credit) {
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
func (l *load) dive(d *Leg) {
	l.first = false
	l.tissues.dive(d.Place.physical(), 1-d.Lean.Fraction(), d.Depth.Metres(), d.Minutes)
	o, ok := d.Place.OxygenOf(d.Rich, d.Depth, d.Minutes)
	l.oxygen = l.oxygen.plus(o)
	l.offTable = l.offTable || !ok
}

// time works out what the day means for this cylinder.
func (s *subject) time() {
	if !s.planned || !s.day.known || !s.hasReading() {
		return
	}
	dive := &s.diver.Dive
	if o, ok := dive.Place.OxygenOf(s.rich, s.depth, dive.Minutes); ok && !s.day.offTable {
		s.oxygen, s.clocked = s.day.oxygen.plus(o), true
	}
	s.noStop = s.noStopFor(s.lean)
	if s.asked().Known() {
		s.noStopAsked = s.noStopFor(s.asked())
	}
}

// noStopFor is the no-stop time of a gas on this dive, after those before.
func (s *subject) noStopFor(o2 Percent) NoStop {
	return s.day.tissues.noStop(s.diver.Dive.Place.physical(), 1-o2.Fraction(), s.depth.Metres(), s.policy.GF/100)
}

// timed tells whether planned minutes and a no-stop time are there to compare;
// otherwise which of the reasons there is not.
func (s *subject) timed() timing {
	switch {
	case !s.planned || !validMinutes(s.diver.Dive.Minutes):
		return timeNotGiven
	case !s.hasReading():
		return timeNotRead
	case !s.day.known:
		return timeDayUnknown
	}
	return timeKnown
}

// timing is whether a rule about time has what it needs.
type timing uint8

const (
	timeKnown timing = iota
	timeNotGiven
	timeNotRead
	timeDayUnknown
)

// timeOutcomes are the outcomes of a rule about time that lacks what it needs,
// by timing. A day that can't be reckoned is not cleared.
func timeOutcomes(r Rule) [4]Outcome {
	return [4]Outcome{
		timeNotGiven:   {Rule: r, Case: "not-given", Severity: NotApplicable},
		timeNotRead:    notRead(r),
		timeDayUnknown: {Rule: r, Case: "day-unknown", Severity: Missing, Do: "ask-leader-plan", Source: sourceCustom},
	}
}
