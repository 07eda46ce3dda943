package sim

import (
	"slices"

	"gasmuster/internal/sim/judge"
)

// helpful is what people do so that a dive can go: what the board asks for, and what comes next.
var helpful = []weighted{{20, (*director).gives}, {2, (*director).goesOn}, {1, (*director).replansOff}}

// gives does what somebody still owes for a dive, or solves what stops them.
func (d *director) gives() []judge.Said {
	board := d.board()
	if board == nil {
		return nil
	}
	var owing []judge.DiverVerdict
	for _, v := range board.Divers {
		if v.Status == judge.StatusNotCleared || v.Status == judge.StatusNoGo {
			owing = append(owing, v)
		}
	}
	if len(owing) == 0 {
		return d.goesOn()
	}
	v := pick(d.Rand, owing...)
	if len(v.Needs) == 0 || v.Status == judge.StatusNoGo && d.chance(50) {
		return d.solves(v, board.Dive)
	}
	return d.give(v, pick(d.Rand, v.Needs...), board.Dive)
}

// board is that of the dive that people are busy with.
func (d *director) board() *judge.DiveVerdict {
	for i := range d.see.Dives {
		if v := &d.see.Dives[i]; !v.Dived && (d.chance(75) || i == len(d.see.Dives)-1) {
			return v
		}
	}
	return nil
}

// place is a place of a diver on a dive; one that needs something first.
func (d *director) place(v judge.DiverVerdict) *spot {
	var some *spot
	for _, c := range v.Cylinders {
		q := d.spot(c.Cylinder)
		if q == nil || q.Dive == 0 {
			continue
		}
		if some = q; len(c.Counting) == 0 || c.Unsettled || d.chance(40) {
			return q
		}
	}
	return some
}

func (d *director) give(v judge.DiverVerdict, need judge.Need, dive int) []judge.Said {
	q, p := d.place(v), d.someone(v.Person)
	switch {
	case p == nil:
		return nil
	case need == judge.NeedCard:
		return d.showsCard(p)
	case need == judge.NeedSpeak:
		kind := pick(d.Rand, judge.SaidHeliumSlip, judge.SaidHeliumSlip, judge.SaidOutside)
		return one(d.of(kind, d.mostly(d.leadersFor(p.ID)...), p))
	case need == judge.NeedLeft:
		kind := pick(d.Rand, judge.SaidBroughtBack, judge.SaidBroughtBack, judge.SaidOut)
		return one(d.of(kind, d.mostly(d.leadersFor(p.ID)...), p))
	case q == nil:
		return d.gets(p, dive)
	}
	return d.giveOf(q, need, p, dive)
}

func (d *director) giveOf(q *spot, need judge.Need, p *someone, dive int) []judge.Said {
	switch need {
	case judge.NeedReading:
		return one(d.firstReading(q))
	case judge.NeedWitness:
		return one(d.watched(q))
	case judge.NeedBoatAnswer:
		s := d.say(judge.SaidBoatAnswer, q.owner)
		s.Cylinder, s.Boat = q.ID, pick(d.Rand, judge.BoatKept, judge.BoatKept, judge.BoatKept, judge.BoatKept,
			judge.BoatChanged)
		return one(s)
	case judge.NeedAirPoint:
		return []judge.Said{d.calibrates(q)}
	case judge.NeedAnswer:
		if len(d.questions) > 0 && d.chance(50) {
			return d.answers()
		}
		return d.confirms(q)
	}
	if d.chance(50) {
		s := d.say(judge.SaidLabel, d.mostly(q.owner))
		s.Cylinder, s.Label = q.ID, d.numbers.label()
		return one(s)
	}
	return d.gets(p, dive)
}

// firstReading is what one expects of it, mostly.
func (d *director) firstReading(q *spot) judge.Said {
	value := d.good(q)
	if r := d.last(q); r != nil && d.chance(80) {
		value = d.tenth(r.value + pick(d.Rand, -0.2, -0.1, 0, 0.1, 0.2, 0.3, -0.4))
	}
	return d.reads(q, q.owner, value)
}

func (d *director) calibrates(q *spot) judge.Said {
	s := d.firstReading(q)
	s.Analyser, s.AirPoint = pick(d.Rand, "A", "B"), 20.9
	return s
}

// confirms is "the analyser showed it" of a cylinder's last numbers.
func (d *director) confirms(q *spot) []judge.Said {
	r := d.last(q)
	if r == nil {
		return nil
	}
	s := d.say(judge.SaidShown, r.by)
	s.Of, s.NoDecimals = r.id, d.chance(25)
	return one(s)
}

func (d *director) showsCard(p *someone) []judge.Said {
	s := d.of(judge.SaidCard, d.mostly(append(d.crewFor(p.ID), judge.Shop)...), p)
	s.Card = judge.CardSeen
	if len(d.crewFor(p.ID)) == 0 && d.chance(60) {
		s.By, s.Witness = p.ID, d.anyOf().ID
	}
	return one(s)
}

// gets gives somebody a cylinder for a dive, or lets them sit it out.
func (d *director) gets(p *someone, dive int) []judge.Said {
	if d.chance(50) {
		s := d.of(judge.SaidOut, d.mostly(d.leaders()...), p)
		s.Dive = dive
		return one(s)
	}
	s := d.of(judge.SaidAdded, d.mostly(append(d.leaders(), judge.Shop)...), p)
	s.New = judge.Cylinder{ID: d.numbers.cylinder(), Asked: request(d.Rand, d.booked, d.booked.Dives[dive-1]), Dive: dive}
	d.numbers.cylinders--
	return one(s)
}

// solves ends a no-go: another cylinder, a card, a limit, a shallower plan, or sitting out.
func (d *director) solves(v judge.DiverVerdict, dive int) []judge.Said {
	p, q := d.someone(v.Person), d.place(v)
	if p == nil {
		return nil
	}
	leader := d.mostly(d.leadersFor(p.ID)...)
	broken := func(r judge.Rule) bool { return v.Rules[r] == judge.NoGo }
	switch {
	case broken(judge.RuleCard) && d.chance(50):
		return d.showsCard(p)
	case broken(judge.RuleDepthLimit) && d.chance(60):
		s := d.of(judge.SaidLimit, leader, p)
		s.Limit.Depth, s.Dive = p.Qualification.LimitIn(d.booked.Units).Value, dive
		return one(s)
	case q != nil && d.chance(40):
		s := d.say(judge.SaidAnother, d.handler(q))
		s.Cylinder, s.Label = q.ID, d.numbers.label()
		return one(s)
	case q != nil && d.chance(30):
		return one(d.watched(q))
	case d.chance(40):
		return d.shallower(dive)
	}
	s := d.of(judge.SaidOut, leader, p)
	s.Dive = dive
	return one(s)
}

// shallower is a plan that lets somebody go.
func (d *director) shallower(dive int) []judge.Said {
	s := d.say(judge.SaidPlan, d.mostly(append(d.leaders(), judge.Shop)...))
	s.Dive, s.Plan = dive, d.booked.Dives[dive-1]
	s.Plan.Depth, s.Plan.Minutes = max(10, s.Plan.Depth-4), max(10, s.Plan.Minutes-5)
	return one(s)
}

// goesOn is what comes next on a board on which everybody may go: the boat check, the signature, the dive.
func (d *director) goesOn() []judge.Said {
	board := d.board()
	leaders := d.leaders()
	if board == nil || len(leaders) == 0 {
		return nil
	}
	by := pick(d.Rand, leaders...)
	var s judge.Said
	switch {
	case refusedFor(board, judge.WhyBoatCheck), refusedFor(board, judge.WhyStartMoved):
		s = d.say(judge.SaidBoatCheck, by)
	case len(board.Refused) == 0 && !d.stands(board.Dive):
		s = d.say(judge.SaidSign, by)
		d.signed++
		s.Signature = signature(d.signed)
	case d.now.After(d.starts(board.Dive)):
		s = d.say(judge.SaidDived, by)
		if d.chance(50) {
			s.Dived = d.dived(board.Dive)
		}
	default:
		return nil
	}
	s.Dive = board.Dive
	return one(s)
}

func refusedFor(b *judge.DiveVerdict, why judge.Why) bool {
	return slices.ContainsFunc(b.Refused, func(r judge.Refusal) bool { return r.Why == why })
}

// stands tells whether a dive is signed, as the judge sees it.
func (d *director) stands(dive int) bool {
	return slices.ContainsFunc(d.see.Signatures, func(s judge.SignatureVerdict) bool {
		return s.Dive == dive && s.State == judge.Standing
	})
}
