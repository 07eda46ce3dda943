package reminders

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/roster"
)

// When before departure, and how long after an opened boat check, people are
// reminded; see the package comment.
const (
	eveningEnds   = 2 * time.Hour
	morningBefore = 3 * time.Hour
	lastNudgeEnds = 15 * time.Minute
	escalateAt    = 30 * time.Minute
	boatAfter     = 10 * time.Minute
	boatBehindAt  = 20 * time.Minute
	boatEnds      = time.Hour
	loudBefore    = 3 * time.Hour // quiet hours end here at the latest
)

var nudgesBefore = []time.Duration{2 * time.Hour, 75 * time.Minute, 45 * time.Minute}

// How far apart the same thing may be said when a departure is moved.
const (
	nudgesApart     = 20 * time.Minute
	announcesApart  = 24 * time.Hour
	shortestBetween = 30 * time.Minute // the least time the second-dive reminder makes sense
)

// Plan is everything that the trip, as it is now, has to say by the clock, the
// earliest first: to whom it may concern, whether or not they owe anything by
// then. Once all dives are signed off there is nothing.
func Plan(t *roster.Trip) []Due {
	var due []Due
	eachDue(t, func(p *planner, d *Due) {
		d.Key, d.said = string(d.appendKey(nil)), p.said(d)
		due = append(due, *d)
	})
	sortDue(due)
	return due
}

// eachDue calls visit for everything that is planned, in the order of the kinds
// and of the trip's people. What is visited has no Key yet and nothing said:
// most of a plan lies behind or is of no interest, and those cost more than all
// the rest. It may be written to, and is gone after the call. visit may set
// until to be spared the rest.
func eachDue(t *roster.Trip, visit func(*planner, *Due)) {
	if t.CurrentDive() == 0 {
		return
	}
	p := planner{t: t, zone: location(t.Zone), visit: visit}
	p.departure = t.Departs.UTC().Format("2006-01-02T15:04Z")
	p.evening()
	p.beforeDeparture()
	p.boat()
	p.between()
	p.turns()
}

type planner struct {
	t     *roster.Trip
	zone  *time.Location
	visit func(*planner, *Due)
	// departure is the departure as it stands in keys: a trip that moves reminds
	// anew, and one that moves back does not repeat itself.
	departure string
	until     time.Time // what is due from then on is of no interest; zero for never
	due       Due       // being visited
}

// day is the day of the departure as it stands in keys.
func (p *planner) day() string { return p.t.Departs.In(p.zone).Format(time.DateOnly) }

// idle tells whether what is due at that time is of no interest.
func (p *planner) idle(at time.Time) bool { return !p.until.IsZero() && !at.Before(p.until) }

// add plans one message; slot tells those of one kind to one person apart.
func (p *planner) add(d *Due, slot string) {
	if p.idle(d.At) {
		return
	}
	p.due = *d
	p.due.slot = slot
	p.visit(p, &p.due)
}

// toAll plans one message to each person.
func (p *planner) toAll(d Due, slot string) {
	for _, person := range p.t.People {
		d.Person = person.ID
		p.add(&d, slot)
	}
}

// toLeaders plans one message to each leader.
func (p *planner) toLeaders(d Due, slot string) {
	for _, person := range p.t.People {
		if person.Leader {
			d.Person = person.ID
			p.add(&d, slot)
		}
	}
}

// toAudience plans one message to each person, and to the linked group chat when
// there is one.
func (p *planner) toAudience(d Due, slot string) {
	p.toAll(d, slot)
	if p.t.GroupChat != (roster.Address{}) {
		d.Person = Group
		p.add(&d, slot)
	}
}

func (d *Due) appendKey(b []byte) []byte {
	b = append(append(b, d.Kind...), ':')
	b = append(append(b, d.Person...), ':')
	return append(b, d.slot...)
}

// said is what Trip.Reminded remembers beside Key when it was sent.
func (p *planner) said(d *Due) string {
	switch id := string(d.Person); {
	case d.announced:
		return "said:announced:" + id
	case d.Kind == Evening || d.Kind == Morning:
		return "said:" + string(d.Kind) + ":" + id + ":" + p.day()
	case d.Kind == Nudge || d.Kind == Escalate:
		return "said:" + string(d.Kind) + ":" + id
	}
	return ""
}

func (p *planner) evening() {
	at, ok := eveningOf(p.t, p.zone)
	announced := ""
	if !p.t.Announced.IsZero() {
		announced = "announced:" + p.t.Announced.UTC().Format(time.RFC3339)
	}
	for _, person := range p.t.People {
		d := Due{Kind: Evening, Person: person.ID, At: at, Until: p.t.Departs.Add(-eveningEnds), Dive: 1}
		if ok {
			p.add(&d, p.departure)
		}
		if a := p.t.Announced; !a.IsZero() {
			d.At, d.announced = a, true
			p.add(&d, announced)
		}
	}
}

// beforeDeparture plans what the hours before departure bring.
func (p *planner) beforeDeparture() {
	dep := p.t.Departs
	if p.idle(dep.Add(-morningBefore)) {
		return // all else is due later
	}
	p.toAudience(Due{Kind: Morning, At: dep.Add(-morningBefore), Until: dep.Add(-nudgesBefore[0]), Dive: 1}, p.departure)
	for n, before := range nudgesBefore {
		at, until := dep.Add(-before), dep.Add(-lastNudgeEnds)
		if n+1 < len(nudgesBefore) {
			until = dep.Add(-nudgesBefore[n+1])
		}
		if !p.idle(at) {
			p.toAudience(Due{Kind: Nudge, At: at, Until: until, Dive: 1, apart: nudgesApart}, p.departure+":"+strconv.Itoa(n+1))
		}
	}
	p.toLeaders(Due{Kind: Escalate, At: dep.Add(-escalateAt), Until: dep, Dive: 1, apart: nudgesApart}, p.departure)
}

// boat plans for an open boat check.
func (p *planner) boat() {
	open := p.t.BoatOpen
	if open.IsZero() {
		return
	}
	dive := p.t.CurrentDive()
	slot := strconv.Itoa(dive) + ":" + open.UTC().Format(time.RFC3339)
	p.toAll(Due{Kind: BoatCheck, At: open.Add(boatAfter), Until: open.Add(boatBehindAt), Dive: dive}, slot)
	p.toLeaders(Due{Kind: BoatBehind, At: open.Add(boatBehindAt), Until: open.Add(boatEnds), Dive: dive}, slot)
}

// between plans for the surface interval before the current dive.
func (p *planner) between() {
	n := p.t.CurrentDive()
	if n < 2 {
		return
	}
	at, start := surfaced(p.t, n)
	p.toAll(Due{Kind: SecondDive, At: at, Until: latest(start, at.Add(shortestBetween)), Dive: n}, strconv.Itoa(n)+":"+p.day())
}

// surfaced is when people are reminded of dive n's cylinders, and when that
// dive is to start: the dive before may have begun later than planned.
func surfaced(t *roster.Trip, n int) (at, start time.Time) {
	before, interval := t.Dives[n-2], time.Duration(t.Dives[n-1].Interval*float64(time.Minute))
	end := t.Ends(n - 1)
	if late := signedAt(t, n-1).Add(t.Ends(n - 1).Sub(t.Starts(n - 1))); late.After(end) {
		end = late
	}
	at = end.Add(interval / 2)
	if len(before.Dived) > 0 {
		first := slices.MinFunc(before.Dived, func(a, b roster.Dived) int { return a.At.Compare(b.At) })
		at = first.At
	}
	return at, end.Add(interval)
}

// signedAt is when dive n was signed off, zero when it is not.
func signedAt(t *roster.Trip, n int) time.Time {
	var at time.Time
	for _, s := range t.SignOffs {
		if s.Dive == n && s.Reopened == nil {
			at = s.At
		}
	}
	return at
}

// turns plans the end of each turn at an analyser that others wait for.
func (p *planner) turns() {
	if len(p.t.Queue.Waiting) == 0 {
		return
	}
	for _, a := range p.t.Analysers {
		if turn, busy := p.t.Queue.Serving[a.Name]; busy {
			p.add(&Due{Kind: Turn, At: turn.Since.Add(roster.TurnLasts)},
				a.Name+":"+string(turn.Person)+":"+turn.Since.UTC().Format(time.RFC3339Nano))
		}
	}
}
