package sim

import (
	"fmt"
	"math"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

var readingScenes = []weighted{
	{8, (*director).readsAgain}, {6, (*director).readsWrong}, {4, (*director).shopReads}, {5, (*director).isWatched},
	{2, (*director).otherReads}, {3, (*director).fromPaper}, {3, (*director).bothAtOnce}, {3, (*director).hurried},
	{2, (*director).namesWitness}, {8, (*director).corrects}, {7, (*director).undoes}, {2, (*director).showed},
	{8, (*director).showsAgain},
	{2, (*director).asks}, {2, (*director).answers}, {2, (*director).seriesAside}, {2, (*director).shopSeries},
}

// tenth rounds to a tenth, as an analyser shows; rarely to a hundredth.
func (d *director) tenth(v float64) float64 {
	if d.chance(4) {
		return hundredth(v)
	}
	return math.Round(v*10) / 10
}

// hundredth rounds to what somebody can type: sums of tenths are not tenths.
func hundredth(v float64) float64 { return math.Round(v*100) / 100 }

// good is what a good fill shows.
func (d *director) good(q *spot) float64 {
	return d.tenth(q.Asked + pick(d.Rand, -0.4, -0.3, -0.2, -0.1, 0.1, 0.2, 0.3, 0.4, -0.8, 0.7))
}

// bad is what a bad fill, a wrong cylinder or a bad analyser shows.
func (d *director) bad(q *spot) float64 {
	return hundredth(pick(d.Rand, d.edge(q)+0.1, d.edge(q)+0.2, d.edge(q), q.Asked, q.Asked+1, q.Asked+1.1, q.Asked-1.2,
		q.Asked+2, q.Asked+2.1, q.Asked-2.1, q.Asked+4.2, 20.9, 20.9, 21, 21.9, 22,
		19.9, 20, 40, 40.1, 36.2))
}

// apart is a number some way from another, across every bound that the rules have.
func (d *director) apart(v float64) float64 {
	by := pick(d.Rand, 0.0, 0.3, 0.4, 0.5, 0.5, 0.6, 0.8, 0.8, 1, 1, 1.1, 1.5, 2, 2.1, 3, 5)
	if d.chance(55) {
		by = -by
	}
	return d.tenth(math.Max(v+by, 15))
}

// reads is a number of a cylinder, by somebody.
func (d *director) reads(q *spot, by roster.PersonID, value float64) judge.Said {
	s := d.say(judge.SaidReading, by)
	s.Cylinder, s.Reading, s.Value = q.ID, d.reading(), value
	s.Analyser = pick(d.Rand, "", "A", "A", "A", "B")
	switch n := d.IntN(100); {
	case n < 15:
		s.AirPoint = 20.9
	case n < 20:
		s.AirPoint = pick(d.Rand, 20.1, 20.2, 20.5, 20.6, 20.7, 21.1, 21.2)
	}
	if s.AirPoint > 0 && d.chance(12) {
		s.Weather = d.weather()
	}
	if d.chance(3) {
		s.HasCO, s.CO = true, pick(d.Rand, 0.0, 2, 3, 4, 5, 6, 11)
	}
	if d.chance(6) {
		s.Taken = d.now.Add(-seconds(d.IntN(300))) // by the sender's clock
	}
	return s
}

func (d *director) weather() gas.Weather {
	return gas.Weather{Celsius: pick(d.Rand, 18.0, 30, 35), Humidity: pick(d.Rand, 30.0, 80, 95), Known: true}
}

func one(s judge.Said) []judge.Said { return []judge.Said{s} }

// last is the newest number of a cylinder that was not taken back.
func (d *director) last(q *spot) *shown {
	for i := len(d.shown) - 1; i >= 0; i-- {
		if r := d.shown[i]; r.spot == q && !r.gone {
			return r
		}
	}
	return nil
}

// readsAgain says another number of a cylinder, 0 to 5 points apart: also walks down or up in steps.
func (d *director) readsAgain() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	r := d.last(q)
	if r == nil {
		return one(d.reads(q, q.owner, d.good(q)))
	}
	s := d.reads(q, q.owner, d.apart(r.value))
	if d.chance(40) {
		s.Analyser, s.AirPoint = r.on, 0
	}
	return one(s)
}

func (d *director) readsWrong() []judge.Said {
	if q := d.used(); q != nil {
		return one(d.reads(q, q.owner, d.bad(q)))
	}
	return nil
}

func (d *director) shopReads() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	value := d.good(q)
	if r := d.last(q); r != nil && d.chance(60) {
		value = d.apart(r.value)
	}
	return one(d.reads(q, judge.Shop, value))
}

// shopSeries are the shop's numbers of all cylinders, off the same way.
func (d *director) shopSeries() []judge.Said {
	off := pick(d.Rand, 1.0, 1.2, -1, -2.2)
	d.changes++
	change := d.changes
	var list []judge.Said
	for _, q := range d.spots {
		if r := d.last(q); r != nil && q.Dive != 0 && r.by != judge.Shop {
			s := d.reads(q, judge.Shop, d.tenth(r.value+off))
			s.Change, s.Message = change, fmt.Sprint("m", change)
			list = append(list, s)
		}
	}
	return list
}

func (d *director) seriesAside() []judge.Said {
	return one(d.say(judge.SaidSeriesAside, d.mostly(d.leaders()...)))
}

// isWatched is a number that leader or crew record, mostly on an analyser with its air point.
func (d *director) isWatched() []judge.Said {
	if q := d.used(); q != nil {
		return one(d.watched(q))
	}
	return nil
}

func (d *director) watched(q *spot) judge.Said {
	value := d.good(q)
	if r := d.last(q); r != nil && d.chance(75) {
		value = d.apart(r.value)
	}
	s := d.reads(q, d.mostly(d.crewFor(q.owner)...), value)
	if d.chance(70) {
		s.Analyser, s.AirPoint = pick(d.Rand, "A", "B"), pick(d.Rand, 20.9, 20.9, 20.9, 20.6)
	}
	if d.chance(12) {
		s.Witness = d.anybody()
	}
	return s
}

// otherReads is a number of somebody else's cylinder.
func (d *director) otherReads() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	return one(d.reads(q, d.anybody(), d.good(q)))
}

// fromPaper is entered afterwards, with the time when it was taken.
func (d *director) fromPaper() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	s := d.reads(q, d.mostly(d.crew()...), d.good(q))
	s.Taken = d.earlier()
	return one(s)
}

// bothAtOnce are two cylinders in one message.
func (d *director) bothAtOnce() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	d.changes++
	change := d.changes
	var list []judge.Said
	for _, o := range d.spots {
		if o.owner == q.owner && o.Dive != 0 {
			s := d.reads(o, q.owner, d.good(o))
			s.Change, s.Message = change, fmt.Sprint("m", change)
			list = append(list, s)
		}
	}
	return list
}

// hurried is another cylinder soon after the last number: by the same diver, or on the same analyser.
func (d *director) hurried() []judge.Said {
	q := d.used()
	if q == nil || len(d.shown) == 0 {
		return nil
	}
	r := d.shown[len(d.shown)-1]
	if at := r.at.Add(seconds(13 + d.IntN(4))); at.After(d.now) {
		d.now = at
	}
	s := d.reads(q, q.owner, d.good(q))
	s.Analyser = r.on
	return one(s)
}

// namesWitness is a leader's word who may watch, mostly followed by that number.
func (d *director) namesWitness() []judge.Said {
	q := d.used()
	if q == nil {
		return nil
	}
	if by := d.someone(q.owner); (by.Leader || d.chance(15)) && d.chance(50) {
		s := d.reads(q, q.owner, d.good(q))
		s.Witness = pick(d.Rand, d.people...).ID
		return one(s)
	}
	s := d.say(judge.SaidWitness, d.mostly(d.leaders()...))
	s.Cylinder, s.Witness = q.ID, pick(d.Rand, d.people...).ID
	read := d.reads(q, s.Witness, d.good(q))
	d.changes++
	if d.chance(40) {
		return one(s)
	}
	return []judge.Said{s, read}
}
