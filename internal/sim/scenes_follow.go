package sim

import (
	"math"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/sim/judge"
)

// What often follows at once: rules that count two minutes, or what lies between two numbers, show only there.

// follows is what somebody says because of what was said just before; mostly nothing.
func (d *director) follows() []judge.Said {
	if d.off && d.chance(15) {
		return one(d.say(judge.SaidPutOn, d.mostly(append(d.leaders(), judge.Shop)...)))
	}
	if r := d.open(); r != nil && d.chance(40) {
		return one(d.looksAgain(r))
	}
	switch d.before.Kind {
	case judge.SaidUndo:
		if d.chance(30) {
			return d.saysInstead()
		}
	case judge.SaidReading:
		return d.followsReading()
	case judge.SaidSign:
		if d.chance(25) {
			return d.changesSigned()
		}
		return d.atTheInvite()
	case judge.SaidInvite, judge.SaidWaits, judge.SaidSentAway, judge.SaidDived, judge.SaidCalledOff:
		return d.atTheInvite()
	case judge.SaidFill:
		if r := d.last(d.spot(d.before.Cylinder)); r != nil && d.chance(12) {
			return d.correctsTo(r, d.apart(r.value))
		}
	case judge.SaidMoved:
		if r := d.last(d.spot(d.before.Cylinder)); r != nil && r.on != "" && r.by != judge.Shop && d.chance(60) {
			return one(d.airOf(r))
		}
	}
	return nil
}

// open is the newest number, when it was said instead of another a moment ago and has to be shown again.
func (d *director) open() *shown {
	if len(d.shown) == 0 {
		return nil
	}
	r := d.shown[len(d.shown)-1]
	if r.spot == nil || r.spot.Dive == 0 || r.gone || d.now.Sub(r.at) > 2*time.Minute {
		return nil
	}
	for _, board := range d.see.Dives {
		for _, v := range board.Divers {
			improved := v.Rules[judge.RuleImproved]
			if v.Person == r.spot.owner && (improved == judge.NotCleared || improved == judge.NoGo) {
				return r
			}
		}
	}
	return nil
}

// looksAgain shows a number again, near enough or not, just before or after two minutes, by its diver or watched.
func (d *director) looksAgain(r *shown) judge.Said {
	d.now = r.at.Add(2*time.Minute + seconds(d.IntN(3)-1))
	by := r.spot.owner
	if d.chance(35) {
		by = d.mostly(d.crewFor(by)...)
	}
	off := pick(d.Rand, 0.2, -0.2, 0.3, -0.3, 0.5, -0.5, 0.6, -0.6, 0.9, 1, -1, 1.1, -1.1, 1.4)
	s := d.reads(r.spot, by, d.tenth(r.value+off))
	s.Taken = d.now
	if d.chance(60) {
		s.Analyser = r.on
	}
	return s
}

// followsReading takes the number back, puts it right to what just fits, says it again across an opened check, or
// with a witness.
func (d *director) followsReading() []judge.Said {
	r := d.shown[len(d.shown)-1]
	if r.spot == nil || r.spot.Dive == 0 {
		return nil
	}
	switch n := d.IntN(100); {
	case n < 6:
		return d.takesBack(r)
	case n < 8:
		return d.correctsTo(r, d.apart(r.value))
	case n < 11 && math.Abs(r.value-d.edge(r.spot)) < 0.6:
		return d.correctsTo(r, d.tenth(d.edge(r.spot)-pick(d.Rand, 0, 0.1)))
	case n < 13 && d.again != nil && d.again.spot == r.spot:
		return d.correctsTo(r, d.tenth(d.again.value+pick(d.Rand, -0.3, 0.2, 0.6)))
	case n < 14 && d.chance(40):
		check := d.say(judge.SaidBoatCheck, d.mostly(d.leaders()...))
		again := d.same(r)
		check.Dive, check.Change, again.Change = r.spot.Dive, d.changes, d.changes
		return []judge.Said{check, again}
	case n < 16:
		s := d.same(r)
		s.Witness = d.anyOf().ID
		return one(s)
	}
	return nil
}

// same is a number said once more, as it was said.
func (d *director) same(r *shown) judge.Said {
	s := d.say(judge.SaidReading, r.by)
	s.Cylinder, s.Reading, s.Value, s.Analyser = r.spot.ID, d.reading(), r.value, r.on
	return s
}

// takesBack is undo within two minutes, or just after.
func (d *director) takesBack(r *shown) []judge.Said {
	if at := r.at.Add(2*time.Minute + seconds(d.IntN(3)-1)); at.After(d.now) && d.chance(30) {
		d.now = at
	}
	s := d.say(judge.SaidUndo, d.mostly(append(d.crewFor(r.spot.owner), r.by, r.by, r.by)...))
	s.Of = r.id
	return one(s)
}

func (d *director) correctsTo(r *shown, value float64) []judge.Said {
	if value == r.value {
		return nil
	}
	s := d.say(judge.SaidCorrection, d.mostly(r.by, r.by, r.spot.owner))
	s.Of, s.Reading, s.Value = r.id, d.reading(), value
	return one(s)
}

// saysInstead is the next number after one was taken back.
func (d *director) saysInstead() []judge.Said {
	for _, r := range d.shown {
		if r.id == d.before.Of && r.spot != nil && r.spot.Dive != 0 {
			return one(d.reads(r.spot, d.mostly(r.by, r.spot.owner), d.apart(r.value)))
		}
	}
	return nil
}

// edge is the richest tenth of a percent that fits the plan of a place's dive.
func (d *director) edge(q *spot) float64 {
	v := d.booked.Dives[min(q.Dive, len(d.booked.Dives))-1] // somebody may wait with a cylinder for one that was dropped
	place := gas.Place{Unit: d.booked.Units, Water: v.Water, Altitude: v.Altitude}
	mix := 18.0
	for place.MOD(gas.Percent(mix+0.1), gas.PPO2(d.booked.Policy.PPO2)).Value >= v.Depth && mix < 45 {
		mix += 0.1
	}
	return math.Round(mix*10) / 10
}

// replansOff plans again where a number is too far from what was asked for.
func (d *director) replansOff() []judge.Said {
	for _, board := range d.see.Dives {
		for _, v := range board.Divers {
			if q := d.place(v); v.Rules[judge.RuleAsked] == judge.Limits && !board.Dived && q != nil {
				s := d.say(judge.SaidReplanned, d.mostly(d.leadersFor(q.owner)...))
				s.Cylinder = q.ID
				return one(s)
			}
		}
	}
	return nil
}
