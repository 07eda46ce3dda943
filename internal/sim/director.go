package sim

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// director makes a day: it knows what was said so far and what the judge makes of it, and says something next.
type director struct {
	*rand.Rand
	numbers
	booked judge.Booked // as it is now, plan and policy included
	now    time.Time
	see    judge.Verdicts

	people    []*someone
	spots     []*spot
	shown     []*shown
	again     *shown     // the number that was put right last: somebody may look at it again
	before    judge.Said // what was said last
	questions []judge.Said
	opened    []time.Time // boat checks
	invite    bool        // the open invite is open
	off       bool        // called off
	waiting   []judge.Person
	group     int         // who is still to come on a day that a host began
	moments   []time.Time // of everything that a rule may count from
	signed    int
	changes   int
	events    int
}

// someone is a person as the director knows them.
type someone struct {
	judge.Person
	left bool
}

// spot is a place for a cylinder.
type spot struct {
	judge.Cylinder
	owner  roster.PersonID
	labels []string // that it had before
}

// shown is a number that somebody said.
type shown struct {
	id    roster.ReadingID
	spot  *spot
	by    roster.PersonID
	value float64
	at    time.Time
	on    string
	gone  bool
}

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 29)) } // #nosec G404 -- days that can be played again, no secret

// direct opens the day of a seed.
func direct(seed uint64) *director {
	d := &director{Rand: newRand(seed)}
	d.booked = book(d.Rand)
	if hosted(seed) {
		d.invite = true
		d.group = min(len(d.booked.People)-1, mostPeople-2)
		d.booked = host(d.booked)
	}
	for _, p := range d.booked.People {
		d.meet(p)
	}
	d.now = d.booked.Departs.Add(-minutes(pick(d.Rand, 90.0, 90, 100, 120, 180, 15*60, 20*60)))
	return d
}

// meet remembers a person, and counts on from their numbers.
func (d *director) meet(p judge.Person) {
	d.people = append(d.people, &someone{Person: p})
	d.numbers.people++
	for _, c := range p.Cylinders {
		d.take(p.ID, c)
	}
}

func (d *director) take(owner roster.PersonID, c judge.Cylinder) {
	d.spots = append(d.spots, &spot{Cylinder: c, owner: owner})
	d.numbers.cylinders++
	if c.Label != "" {
		d.numbers.labels++
	}
}

// scene says something, or nothing when there is nobody or nothing that it could be about.
type scene func(*director) []judge.Said

// weighted is a scene and how often it comes.
type weighted struct {
	weight int
	scene  scene
}

// next is what is said next, of what the judge sees now: mostly what helps, else trouble.
func (d *director) next(see judge.Verdicts) []judge.Said {
	d.see = see
	d.dropped()
	d.pass()
	if said := d.gathers(); len(said) > 0 {
		d.events++
		d.remember(said)
		return said
	}
	if said := d.follows(); len(said) > 0 {
		d.events++
		d.remember(said)
		return said
	}
	for {
		scenes := trouble
		if d.IntN(100) < 62 {
			scenes = helpful
		}
		if said := d.draw(scenes)(d); len(said) > 0 {
			d.events++
			d.remember(said)
			return said
		}
	}
}

func (d *director) draw(scenes []weighted) scene {
	sum := 0
	for _, s := range scenes {
		sum += s.weight
	}
	n := d.IntN(sum)
	for _, s := range scenes {
		if n -= s.weight; n < 0 {
			return s.scene
		}
	}
	return nil
}

// trouble is everything that may happen, allowed or not.
var trouble = slices.Concat(readingScenes, airScenes, cylinderScenes, boatScenes, peopleScenes, roleScenes,
	tripScenes, planScenes, diveScenes)

// say begins something that is said now.
func (d *director) say(kind judge.Kind, by roster.PersonID) judge.Said {
	return judge.Said{At: d.now, By: by, Kind: kind}
}

// chance is true n times in a hundred.
func (d *director) chance(n int) bool { return d.IntN(100) < n }

// remember keeps what was said as far as the director needs it. It need not know what had an effect.
func (d *director) remember(said []judge.Said) {
	d.before = said[len(said)-1]
	for _, s := range said {
		d.moments = append(d.moments, s.At)
		d.rememberCylinder(s)
		d.rememberPerson(s)
		switch s.Kind {
		case judge.SaidReading, judge.SaidCorrection:
			d.shown = append(d.shown, &shown{id: s.Reading, spot: d.spotOf(s), by: s.By, value: s.Value, at: s.At,
				on: s.Analyser})
			if s.Of != "" {
				d.lose(s.Of)
				d.again = d.shown[len(d.shown)-1]
			}
		case judge.SaidUndo:
			d.lose(s.Of)
		case judge.SaidQuestion:
			d.questions = append(d.questions, s)
		case judge.SaidAnswer, judge.SaidWithdrawn:
			d.questions = slices.DeleteFunc(d.questions, func(q judge.Said) bool { return q.Question == s.Question })
		case judge.SaidBoatCheck:
			d.opened = append(d.opened, s.At)
		case judge.SaidCalledOff, judge.SaidPutOn:
			d.off = s.Kind == judge.SaidCalledOff
		case judge.SaidInvite:
			d.invite = s.Yes
			if !s.Yes {
				d.waiting = nil
			}
		case judge.SaidPlan:
			d.booked.Dives[s.Dive-1] = s.Plan
		case judge.SaidStart:
			d.booked.Departs, d.booked.FirstDiveAfter = s.Departs, s.FirstDiveAfter
		case judge.SaidPolicy:
			d.booked.Policy = s.Policy
		}
	}
}

func (d *director) lose(id roster.ReadingID) {
	for _, r := range d.shown {
		r.gone = r.gone || r.id == id
	}
}

func (d *director) rememberCylinder(s judge.Said) {
	if s.Kind == judge.SaidAdded {
		d.take(s.Person, s.New)
	}
	q := d.spot(s.Cylinder)
	if q == nil {
		return
	}
	switch s.Kind {
	case judge.SaidAnother, judge.SaidLabel:
		q.labels, q.Label = append(q.labels, q.Label), s.Label
	case judge.SaidRequest:
		q.Asked = s.Asked
	case judge.SaidMoved:
		q.Dive = s.Dive
	case judge.SaidRetired:
		q.Dive = 0
	}
}

func (d *director) rememberPerson(s judge.Said) {
	switch s.Kind {
	case judge.SaidPerson:
		d.meet(s.NewPerson)
	case judge.SaidWaits:
		d.waitsThere(s.NewPerson)
	case judge.SaidLetIn, judge.SaidSentAway:
		d.answered(s)
	}
	p := d.someone(s.Person)
	if p == nil {
		return
	}
	switch s.Kind {
	case judge.SaidLeft, judge.SaidForgot, judge.SaidRemoved:
		p.left = true
	case judge.SaidBroughtBack:
		p.left = false
	case judge.SaidRole:
		p.Leader, p.Crew = s.Leader, s.Crew
	case judge.SaidTakeOver:
		p.Leader = true
	case judge.SaidHandOver:
		if by := d.someone(s.By); by != nil && by.Leader {
			p.Leader, by.Leader = true, false
		}
	case judge.SaidTeam:
		p.Team = s.Team
	}
}

// waitsThere remembers somebody at the open invite, and counts on from their numbers.
func (d *director) waitsThere(p judge.Person) {
	d.waiting = append(d.waiting, p)
	d.numbers.people++
	d.numbers.cylinders += len(p.Cylinders)
	for _, c := range p.Cylinders {
		d.numbers.labels += min(len(c.Label), 1)
	}
}

// answered takes somebody from those who wait.
func (d *director) answered(s judge.Said) {
	i := slices.IndexFunc(d.waiting, func(p judge.Person) bool { return p.ID == s.Person })
	if i < 0 {
		return
	}
	who, count := d.waiting[i], d.numbers
	d.waiting = slices.Delete(d.waiting, i, i+1)
	if s.Kind == judge.SaidLetIn {
		d.meet(who)
		d.numbers = count // counted when they came to wait
	}
}

// dropped forgets the dives that were taken off the day.
func (d *director) dropped() {
	n := len(d.see.Dives)
	if n == 0 || n >= len(d.booked.Dives) {
		return
	}
	d.booked.Dives = d.booked.Dives[:n]
	for _, q := range d.spots {
		if q.Dive > n {
			q.Dive = 0
		}
	}
}

func (d *director) spotOf(s judge.Said) *spot {
	if q := d.spot(s.Cylinder); q != nil {
		return q
	}
	for _, r := range d.shown {
		if r.id == s.Of {
			return r.spot
		}
	}
	return nil
}

func (d *director) spot(id roster.CylinderID) *spot {
	for _, q := range d.spots {
		if q.ID == id {
			return q
		}
	}
	return nil
}

func (d *director) someone(id roster.PersonID) *someone {
	for _, p := range d.people {
		if p.ID == id {
			return p
		}
	}
	return nil
}

func (d *director) reading() roster.ReadingID {
	d.changes++
	return roster.ReadingID(fmt.Sprint("r", d.changes))
}
