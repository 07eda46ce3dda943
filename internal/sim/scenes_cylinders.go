package sim

import (
	"fmt"

	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

var airScenes = []weighted{
	{5, (*director).airPoint}, {1, (*director).newWeather}, {2, (*director).monoxide},
}

// airPoint is an analyser in air.
func (d *director) airPoint() []judge.Said {
	s := d.say(judge.SaidAirPoint, d.anybody())
	s.Analyser = pick(d.Rand, "A", "A", "B")
	s.AirPoint = pick(d.Rand, 20.9, 20.9, 20.9, 20.1, 20.2, 20.3, 20.6, 20.7, 21.1, 21.2)
	if d.chance(10) {
		s.Weather = d.weather()
	}
	if n := len(d.shown); n > 0 && d.shown[n-1].on != "" && d.shown[n-1].by != "" && d.chance(30) { // asked of it
		r := d.shown[n-1]
		s.Of, s.By, s.Analyser = r.id, r.by, r.on
	}
	return one(s)
}

// airOf is what an analyser showed in air, as the answer to what was asked of a number.
func (d *director) airOf(r *shown) judge.Said {
	s := d.say(judge.SaidAirPoint, r.by)
	s.Of, s.Analyser, s.AirPoint = r.id, r.on, pick(d.Rand, 20.1, 20.3, 20.5, 20.9)
	return s
}

func (d *director) newWeather() []judge.Said {
	s := d.say(judge.SaidWeather, d.mostly(d.leaders()...))
	s.Weather = d.weather()
	return one(s)
}

func (d *director) monoxide() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	s := d.say(judge.SaidCarbonMonoxide, d.mostly(q.owner))
	s.Cylinder, s.HasCO, s.CO = q.ID, true, pick(d.Rand, 0.0, 1, 2, 3, 3.5, 5, 6, 10, 11)
	return one(s)
}

var cylinderScenes = []weighted{
	{7, (*director).fills}, {6, (*director).swaps}, {4, (*director).labels}, {2, (*director).claims},
	{3, (*director).labelBack},
	{3, (*director).requests}, {2, (*director).adds}, {2, (*director).retires}, {4, (*director).moves},
	{2, (*director).notUsed},
	{3, (*director).replans},
}

// about begins something about a cylinder in use; ok is false when there is none.
func (d *director) about(kind judge.Kind) (s judge.Said, q *spot, ok bool) {
	if q = d.used(); q == nil {
		return s, nil, false
	}
	s = d.say(kind, q.owner)
	s.Cylinder = q.ID
	return s, q, true
}

// handler is who does something with a cylinder: its diver, the shop, leader or crew.
func (d *director) handler(q *spot) roster.PersonID {
	return d.mostly(append(d.crewFor(q.owner), q.owner, q.owner, judge.Shop)...)
}

// anySpot is a place of the trip, in use or not; one without a label when there is none.
func (d *director) anySpot() *spot {
	if len(d.spots) == 0 {
		return &spot{}
	}
	return pick(d.Rand, d.spots...)
}

func (d *director) fills() []judge.Said {
	s, q, ok := d.about(judge.SaidFill)
	if !ok {
		return nil
	}
	s.By = d.handler(q)
	return one(s)
}

// swaps puts another cylinder in the place: with a new label, none, the same, or one that was there before.
func (d *director) swaps() []judge.Said {
	s, q, ok := d.about(judge.SaidAnother)
	if !ok {
		return nil
	}
	s.By = d.handler(q)
	switch n := d.IntN(10); {
	case n < 5:
		s.Label = d.numbers.label()
	case n < 7:
		s.Label = ""
	case n < 8:
		s.Label = q.Label
	case n < 9 && len(q.labels) > 0:
		s.Label = pick(d.Rand, q.labels...)
	default:
		s.Label = d.anySpot().Label
	}
	return one(s)
}

// labels gives a label, or puts one right.
func (d *director) labels() []judge.Said {
	s, q, ok := d.about(judge.SaidLabel)
	if !ok {
		return nil
	}
	s.By, s.Label = d.handler(q), d.numbers.label()
	return one(s)
}

// claims gives a cylinder the label of another.
func (d *director) claims() []judge.Said {
	s, q, ok := d.about(judge.SaidLabel)
	if !ok {
		return nil
	}
	s.By, s.Label = d.handler(q), d.anySpot().Label
	return someLabel(s)
}

// labelBack gives a cylinder a label that some cylinder of the trip had before.
func (d *director) labelBack() []judge.Said {
	s, q, ok := d.about(judge.SaidLabel)
	old := d.anySpot().labels
	if !ok || len(old) == 0 {
		return nil
	}
	s.By, s.Label = d.handler(q), pick(d.Rand, old...)
	return someLabel(s)
}

// someLabel is nothing when there is no label to say.
func someLabel(s judge.Said) []judge.Said {
	if s.Label == "" {
		return nil
	}
	return one(s)
}

func (d *director) requests() []judge.Said {
	s, q, ok := d.about(judge.SaidRequest)
	if !ok {
		return nil
	}
	s.By, s.Asked = d.mostly(q.owner, judge.Shop), pick(d.Rand, 21.0, 28, 30, 32, 32, 34, 36)
	return one(s)
}

func (d *director) adds() []judge.Said {
	p := d.anyOf()
	s := d.say(judge.SaidAdded, d.mostly(append(d.leaders(), judge.Shop)...))
	n := d.dive()
	s.Person, s.New = p.ID, judge.Cylinder{ID: d.numbers.cylinder(),
		Asked: request(d.Rand, d.booked, d.booked.Dives[n-1]), Dive: n}
	d.numbers.cylinders-- // it counts when it is remembered
	switch d.IntN(4) {
	case 0:
		s.New.Label = fmt.Sprint(100 + d.events)
	case 1:
		s.New.Label = d.anySpot().Label
	}
	return one(s)
}

func (d *director) retires() []judge.Said {
	s, q, ok := d.about(judge.SaidRetired)
	if !ok {
		return nil
	}
	s.By = d.handler(q)
	return one(s)
}

func (d *director) moves() []judge.Said {
	s, q, ok := d.about(judge.SaidMoved)
	if !ok || len(d.booked.Dives) < 2 {
		return nil
	}
	s.By, s.Dive = d.handler(q), 1+d.IntN(len(d.booked.Dives))
	return one(s)
}

func (d *director) notUsed() []judge.Said {
	s, q, ok := d.about(judge.SaidNotUsed)
	if !ok {
		return nil
	}
	s.By, s.Dive = d.mostly(d.leadersFor(q.owner)...), d.dive()
	return one(s)
}

func (d *director) replans() []judge.Said {
	s, q, ok := d.about(judge.SaidReplanned)
	if !ok {
		return nil
	}
	s.By = d.mostly(d.leadersFor(q.owner)...)
	return one(s)
}

var boatScenes = []weighted{{4, (*director).opensCheck}, {3, (*director).answersBoat}}

func (d *director) opensCheck() []judge.Said {
	s := d.say(judge.SaidBoatCheck, d.mostly(d.leaders()...))
	s.Dive = d.dive()
	return one(s)
}

func (d *director) answersBoat() []judge.Said {
	s, q, ok := d.about(judge.SaidBoatAnswer)
	if !ok {
		return nil
	}
	s.By = d.mostly(q.owner, q.owner, pick(d.Rand, d.people...).ID)
	s.Boat = pick(d.Rand, judge.BoatKept, judge.BoatKept, judge.BoatChanged, judge.BoatNotSure)
	return one(s)
}
