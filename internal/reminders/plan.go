package reminders

import (
	"strconv"
	"time"

	"gasmuster/internal/roster"
)

// When before departure, and how long after an opened boat check, people are
// reminded; see the package comment.
const (
	eveningEnds  = 2 * time.Hour
	nudgeBefore  = 45 * time.Minute
	lastBefore   = 20 * time.Minute
	boatAfter    = 10 * time.Minute
	boatBehindAt = 20 * time.Minute
	boatEnds     = time.Hour
	loudBefore   = nudgeBefore // quiet hours end here at the latest
)

// How far apart the same thing may be said.
const (
	NudgesApart     = 15 * time.Minute // whoever nudges
	announcesApart  = 24 * time.Hour
	shortestBetween = 30 * time.Minute // the least time the second-dive reminder makes sense
)

// Plan is everything that the trip, as it is now, has to say by the clock, the
// earliest first: to whom it may concern, whether or not they owe anything by
// then. Once all dives are signed or dived, or the trip is called off, there is nothing.
func Plan(t *roster.Trip, now time.Time) []Due {
	var due []Due
	eachDue(t, now, func(p *planner, d *Due) {
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
func eachDue(t *roster.Trip, now time.Time, visit func(*planner, *Due)) {
	if t.DefaultDive(now) == 0 || t.CalledOff != nil {
		return
	}
	p := planner{t: t, now: now, zone: location(t.Zone), visit: visit}
	p.departure = t.Departs.UTC().Format("2006-01-02T15:04Z")
	p.evening()
	p.beforeDeparture()
	p.boat()
	p.between()
	p.turns()
}

type planner struct {
	t     *roster.Trip
	now   time.Time
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

// toOthers plans one message to each person who does not lead, and to the linked
// group chat.
func (p *planner) toOthers(d Due, slot string) {
	for _, person := range p.t.People {
		if !person.Leader {
			d.Person = person.ID
			p.add(&d, slot)
		}
	}
	p.toGroup(d, slot)
}

func (p *planner) toGroup(d Due, slot string) {
	if p.t.GroupChat != (roster.Address{}) {
		d.Person = Group
		p.add(&d, slot)
	}
}

// toAudience plans one message to each person, and to the linked group chat when
// there is one.
func (p *planner) toAudience(d Due, slot string) {
	p.toAll(d, slot)
	p.toGroup(d, slot)
}

func (d *Due) appendKey(b []byte) []byte {
	b = append(append(b, d.Kind...), ':')
	b = append(append(b, d.Person...), ':')
	return append(b, d.slot...)
}

// saidNudge is what Trip.Reminded holds of the clock's last nudge of a person.
const saidNudge = "said:nudge:"

// said is what Trip.Reminded remembers beside Key when it was sent.
func (p *planner) said(d *Due) string {
	switch id := string(d.Person); {
	case d.announced:
		return "said:announced:" + id
	case d.Kind == Evening:
		return "said:evening:" + id + ":" + p.day()
	case d.nudges():
		return saidNudge + id
	case d.Kind == Escalate:
		return "said:escalate:" + id
	}
	return ""
}

// nudges tells whether a message asks somebody for what they owe.
func (d *Due) nudges() bool {
	switch d.Kind {
	case Ready, Nudge, Last, BoatCheck, SecondDive:
		return true
	}
	return false
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

// beforeDeparture plans what the time before departure brings: nothing before
// the cylinders can be analysed.
func (p *planner) beforeDeparture() {
	dep, ready := p.t.Departs, p.t.ReadyAt()
	if p.idle(ready) && p.idle(dep.Add(-nudgeBefore)) {
		return // all else is due later
	}
	nudge, last := dep.Add(-nudgeBefore), dep.Add(-lastBefore)
	until := last
	if !ready.Before(last) {
		until = dep
	}
	p.toAll(Due{Kind: Ready, At: ready, Until: until, Dive: 1}, ready.UTC().Format("2006-01-02T15:04Z"))
	if !nudge.Before(ready) {
		p.toAudience(Due{Kind: Nudge, At: nudge, Until: last, Dive: 1}, p.departure)
	}
	if last.Before(ready) {
		return
	}
	p.toOthers(Due{Kind: Last, At: last, Until: dep, Dive: 1}, p.departure)
	p.toLeaders(Due{Kind: Escalate, At: last, Until: dep, Dive: 1}, p.departure)
}

// boat plans for open boat checks.
func (p *planner) boat() {
	for n := range p.t.Dives {
		if dive := &p.t.Dives[n]; len(dive.Boat) > 0 && open(p.t, n+1, p.now) {
			p.boatOf(n+1, dive.Boat[len(dive.Boat)-1].At)
		}
	}
}

func (p *planner) boatOf(dive int, opened time.Time) {
	slot := strconv.Itoa(dive) + ":" + opened.UTC().Format(time.RFC3339)
	p.toAll(Due{Kind: BoatCheck, At: opened.Add(boatAfter), Until: opened.Add(boatBehindAt), Dive: dive}, slot)
	p.toLeaders(Due{Kind: BoatBehind, At: opened.Add(boatBehindAt), Until: opened.Add(boatEnds), Dive: dive}, slot)
}

// open tells whether dive n is still to be cleared: neither signed nor dived.
func open(t *roster.Trip, n int, now time.Time) bool {
	return t.Dive(n) != nil && !t.WasDived(n) && !t.Signed(n, now)
}

// between plans for the surface interval before the next dive.
func (p *planner) between() {
	n := p.t.DefaultDive(p.now)
	if n < 2 {
		return
	}
	at, start := surfaced(p.t, n)
	p.toAll(Due{Kind: SecondDive, At: at, Until: latest(start, at.Add(shortestBetween)), Dive: n},
		strconv.Itoa(n)+":"+p.day())
}

// surfaced is when people are reminded of dive n's cylinders, and when that
// dive is to start: the dive before may have begun later than planned.
func surfaced(t *roster.Trip, n int) (at, start time.Time) {
	before, interval := &t.Dives[n-2], time.Duration(t.Dives[n-1].Interval*float64(time.Minute))
	end := t.Ends(n - 1)
	if late := signedAt(t, n-1).Add(t.Ends(n - 1).Sub(t.Starts(n - 1))); late.After(end) {
		end = late
	}
	if up := t.UpAt(n - 1); !up.IsZero() {
		end = up
	}
	at = end.Add(interval / 2)
	if said := saidDived(before); !said.IsZero() {
		at = said
	}
	return at, end.Add(interval)
}

// saidDived is when somebody first said what a dive was, zero when nobody did.
func saidDived(d *roster.Dive) time.Time {
	var first time.Time
	if d.Outcome != nil {
		first = d.Outcome.At
	}
	for _, what := range d.Dived {
		if first.IsZero() || what.At.Before(first) {
			first = what.At
		}
	}
	return first
}

// signedAt is when the signature under dive n was given, zero when there is none
// that was not broken or withdrawn.
func signedAt(t *roster.Trip, n int) time.Time {
	if s := t.Signature(n); s != nil && s.Broken == nil && s.Withdrawn == nil {
		return s.At
	}
	return time.Time{}
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
