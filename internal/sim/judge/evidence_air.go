package judge

import (
	"math"
	"time"

	"gasmuster/internal/gas"
)

// airPoint is what an analyser showed in air.
type airPoint struct {
	mark
	analyser string
	value    float64
	weather  gas.Weather
}

// airJudged is the air point that a reading goes by.
type airJudged struct {
	given    bool
	severity Severity // pass, note or not-cleared
	value    float64
	at       time.Time
	weather  bool // judged by the weather
}

const (
	calibratedFor = 60 * time.Minute
	setTo         = 20.9 // what an analyser is set to in air
)

// "The one said with the reading, else the last on that analyser in the 60 minutes before (a
// later one changes nothing said before)."
func (d *Day) airFor(s Said, taken mark, altitude float64) airJudged {
	if s.AirPoint > 0 {
		return judgeAir(airPoint{taken, s.Analyser, s.AirPoint, d.weatherOf(s)}, altitude)
	}
	var last *airPoint
	for i := range d.airPoints {
		a := &d.airPoints[i]
		before := a.before(taken) && taken.at.Sub(a.at) <= calibratedFor
		if s.Analyser != "" && a.analyser == s.Analyser && before && (last == nil || last.before(a.mark)) {
			last = a
		}
	}
	if last == nil {
		return airJudged{}
	}
	return judgeAir(*last, altitude)
}

// "Weather known: the expected O2 of that air +- 0.2; not known: 20.2 to 21.1, below 20.7 a
// note; outside: calibrate again, does not count."
func judgeAir(a airPoint, altitude float64) airJudged {
	j := airJudged{given: true, severity: NotCleared, value: a.value, at: a.at}
	if expected := float64(a.weather.Oxygen(altitude)); expected > 0 {
		j.weather = true
		if math.Abs(a.value-expected) <= 0.2+exactly {
			j.severity = Pass
		}
		return j
	}
	switch {
	case a.value < 20.2-exactly || a.value > 21.1+exactly:
	case a.value < 20.7-exactly:
		j.severity = Note
	default:
		j.severity = Pass
	}
	return j
}

// weatherOf is the weather said with something, else the last that was said.
func (d *Day) weatherOf(s Said) gas.Weather {
	if s.Weather.Known {
		return s.Weather
	}
	return d.weather
}

// hearAirPoint keeps it for what is said later. "The one said with the reading": the
// answer to what was asked of a reading that had none is said with it.
func (d *Day) hearAirPoint(s Said) {
	asked := d.reading(s.Of)
	if s.Kind == SaidAirPoint && asked != nil && asked.by == s.By && asked.analyser == s.Analyser &&
		asked.inPlaceOf == nil && !asked.corrects && !asked.air.given && s.AirPoint > 0 &&
		!d.begunWith(asked.cylinder(), s.At) {
		asked.air = judgeAir(airPoint{d.taken(s), s.Analyser, s.AirPoint, d.weatherOf(s)}, asked.altitude)
		asked.airLater = true
		d.notNext(asked)
		d.tellGasesAgain()
	}
	if s.Analyser != "" && s.AirPoint > 0 {
		d.airPoints = append(d.airPoints, airPoint{d.taken(s), s.Analyser, s.AirPoint, d.weatherOf(s)})
	}
}

// hearAnswers gives the readings of a day of then the air points that were answered later: said with them, they are of
// what was breathed, too.
func (d *Day) hearAnswers(later *Day) {
	for _, r := range d.readings {
		if said := later.reading(r.id); said != nil && said.airLater && !r.airLater {
			r.air, r.airLater = said.air, true
			d.notNext(r)
		}
	}
}

// "Calibrated: its air point passes and is at most 60 minutes old, none failing since."
func (r *reading) calibrated() bool {
	return r.air.given && r.air.severity < NotCleared && r.taken.at.Sub(r.air.at) <= calibratedFor
}

// badAir tells whether the analyser was off in air.
func (r *reading) badAir() bool { return r.air.given && r.air.severity == NotCleared }

// turnedOff tells whether it was said only later that the analyser was off: a failing air point is none of "what may
// improve", so that it takes away nothing that the reading asked or cost.
func (r *reading) turnedOff() bool { return r.badAir() && r.airLater }

// rich is what a reading counts as for depth: "no decimals adds 0.5 for depth"; an air point
// without the weather: "for depth reading x 20.9 / air point", also where it is so low that the reading doesn't
// count. Never less than was shown, never more than 100.
func (r *reading) rich() float64 {
	v := r.value
	if r.noDecimal {
		v += 0.5
	}
	if r.air.given && !r.air.weather {
		v *= max(1, setTo/r.air.value)
	}
	return min(v, 100)
}

// lean is what a reading counts as for time: "no decimals takes 0.5 for time"; "temperature and
// humidity known: the reading without an air point counts as reading x expected O2 / 20.9 for
// time". Never more than was shown.
func (r *reading) lean() float64 {
	v := r.value
	if r.noDecimal {
		v -= 0.5
	}
	if r.humid() > 0 {
		v *= min(1, r.humid()/setTo)
	}
	return v
}

// dry is the leanest of all compared, without what humid air takes.
func (e evidence) dry() float64 {
	leanest := 100.0
	for _, r := range e.compared {
		v := r.value
		if r.noDecimal {
			v -= 0.5
		}
		leanest = min(leanest, v)
	}
	return leanest
}

// humid is the expected O2 of the air in which an analyser without an air point was set.
func (r *reading) humid() float64 {
	if r.air.given && !r.turnedOff() {
		return 0
	}
	return r.expected
}
