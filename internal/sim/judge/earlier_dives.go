package judge

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// gasPlace is the place of a dive as package gas knows it.
func (d *Day) gasPlace(plan Dive) gas.Place {
	return gas.Place{Unit: d.units, Water: plan.Water, Altitude: plan.Altitude}
}

// metres is a depth of the trip in metres.
func (d *Day) metres(depth float64) float64 { return gas.Depth{Value: depth, Unit: d.units}.Metres() }

// ascent is how long the way up takes, at 9 m/min.
func (d *Day) ascent(depth float64) float64 { return d.metres(depth) / upSpeed }

// "Planned start of dive 1 is departs_at plus first_dive_after, of the next the start
// before plus its minutes, the ascent at 9 m/min and the interval."
func (d *Day) start(number int) time.Time {
	at := d.departs.Add(minutes(d.firstDiveAfter))
	for i := 1; i < number; i++ {
		at = at.Add(d.lasts(d.dive(i).plan) + minutes(d.dive(i+1).plan.Interval))
	}
	return at
}

// lasts is how long a dive is planned to last, until everybody is back at the surface.
func (d *Day) lasts(plan Dive) time.Duration {
	return minutes(plan.Minutes) + minutes(d.ascent(plan.Depth))
}

// breathed is what a diver breathes on a dive: the richest counts for oxygen, the
// leanest for nitrogen. No cylinder: nothing.
type breathed struct {
	any        bool
	rich, lean float64
	of         []roster.ReadingID  // that it was told by
	unread     []roster.CylinderID // places in which nothing counted
}

func (b breathed) String() string { return fmt.Sprint(b.any, b.rich, b.lean) }

// "An earlier dive not yet dived counts as planned, with the richest reading for oxygen
// and the leanest for nitrogen; unread: the request for oxygen, air for nitrogen."
// What was read before a fill or a change makes an unread one only stricter.
func (d *Day) breathes(p *person, number int, now time.Time) breathed {
	places, _ := d.on(p, number)
	var b breathed
	for _, q := range places {
		e := d.evidence(q, number, now)
		if e.read() {
			b.add(e.rich, e.lean, ids(e.compared)...)
		}
		if len(e.counting) == 0 {
			d.unread(q, &b)
		}
	}
	return b
}

func (d *Day) unread(q *place, b *breathed) {
	b.unread = append(b.unread, q.id)
	b.add(slices.Max(q.askedSince(-1)), float64(gas.Air))
	for _, r := range d.readings {
		if q.hadRead(r) {
			b.add(r.rich(), r.lean(), r.id)
		}
	}
	for _, p := range d.promises {
		if d.broken(p) && q.had(p.body, p.read) {
			b.add(slices.Max(p.from), slices.Min(p.from))
		}
	}
}

// wasFor tells whether a place was for a dive at a moment, or left its findings on it.
func (q *place) wasFor(number int, at time.Time) bool {
	dive, left := q.dive, slices.Contains(q.leftOn, number)
	for _, m := range slices.Backward(q.moves) {
		if m.at.After(at) {
			dive = m.from
		} else if m.from == number && left {
			return true
		}
	}
	return dive == number && !q.added.After(at)
}

// everHad tells whether a cylinder stands in a place, or ever stood there.
func (q *place) everHad(b *body) bool {
	return q.body.real() == b.real() || slices.ContainsFunc(q.past,
		func(s stood) bool { return s.body.real() == b.real() })
}

// had tells whether a cylinder stands in a place, or stood there at a moment. A label that made it the same only
// after it was gone brings nothing.
func (q *place) had(b *body, at mark) bool {
	return q.body.real() == b.real() || slices.ContainsFunc(q.past, func(s stood) bool { return s.had(b, at) })
}

func (s stood) had(b *body, at mark) bool { return s.body.sameAt(b, s.until) && at.before(s.until) }

// hadRead tells whether a reading is one of a cylinder that stands in a place, or was one while it stood there: slips
// and those set aside apart.
func (q *place) hadRead(r *reading) bool {
	if q.body.real() == r.cylinder() && !r.slip && !r.aside {
		return true
	}
	return slices.ContainsFunc(q.past, func(s stood) bool {
		gone := r.slip && !s.until.before(r.undoneAt) || r.aside && !s.until.before(r.asideAt)
		return s.had(r.body, r.taken) && !gone
	})
}

func (b *breathed) add(rich, lean float64, of ...roster.ReadingID) {
	if !b.any {
		b.any, b.rich, b.lean = true, rich, lean
	}
	b.rich, b.lean = max(b.rich, rich), min(b.lean, lean)
	b.of = append(b.of, of...)
}

// gasOn is what a diver breathed on a dive that was dived, or will on one that is
// planned. "Who has no cylinder for it or sits it out: nothing"; and so where a leader
// said that the dive is not dived, unless the diver says since that they dived it: "may make later dives
// stricter at once".
func (d *Day) gasOn(p *person, v *dive, now time.Time) breathed {
	switch {
	case v.dived:
		return d.withLateNews(p, v)
	case v.notDived && p.saidDived[v.number] == (Dived{}), p.outs[0], p.outs[v.number]:
		return breathed{}
	}
	return d.breathes(p, v.number, now)
}

// withLateNews is the gas of a dived dive: what is said later of it only makes stricter.
func (d *Day) withLateNews(p *person, v *dive) breathed {
	b := v.gases[p.ID]
	if !b.any {
		return b
	}
	var places []*place
	for _, q := range d.places {
		if q.owner == p && q.wasFor(v.number, v.began) {
			places = append(places, q)
		}
	}
	began := mark{v.began, v.answered.n}
	for _, r := range d.readings {
		isNews := slices.ContainsFunc(places, func(q *place) bool {
			return r.isNews(q, began) || slices.Contains(b.unread, q.id) && r.isNewsOfPast(q, began)
		})
		if isNews || r.noDecimal && slices.Contains(b.of, r.id) {
			b.add(r.rich(), r.lean())
		}
	}
	return b
}

// isNews tells whether a reading of a cylinder that stood in a place was taken before a moment, but
// said, or known to be of that
// cylinder, only after it.
func (r *reading) isNews(q *place, m mark) bool {
	if r.taken.at.After(m.at) || r.slip || r.aside {
		return false
	}
	b := q.bodyAt(m)
	return b.real() == r.cylinder() && (m.before(r.saidMark()) || !r.body.sameAt(b, m))
}

// isNewsOfPast is the same of a cylinder that had left a place before: what was ever read there
// weighs while nothing counts.
func (r *reading) isNewsOfPast(q *place, m mark) bool {
	left := func(s stood) bool { return !m.before(s.until) && s.had(r.body, r.taken) }
	return !r.slip && !r.aside && m.before(r.saidMark()) && slices.ContainsFunc(q.past, left)
}

// bodyAt is the cylinder that stood in a place at a moment.
func (q *place) bodyAt(m mark) *body {
	for _, s := range q.past {
		if m.before(s.until) {
			return s.body
		}
	}
	return q.body
}

// cameBefore is when the cylinder that stood in a place at a moment came there.
func (q *place) cameBefore(m mark) mark {
	for _, s := range q.past {
		if m.before(s.until) {
			return s.came
		}
	}
	return q.came
}

// doneBy is what somebody dived on a dive: the plan until a leader says what was.
// "What was dived, as a diver corrects it for themself, may make later dives stricter."
func (d *Day) doneBy(p *person, v *dive) Dived {
	if v.notDived {
		said := p.saidDived[v.number]
		return Dived{cmp.Or(said.Depth, v.plan.Depth), cmp.Or(said.Minutes, v.plan.Minutes)}
	}
	done := Dived{v.plan.Depth, v.plan.Minutes}
	for _, said := range []Dived{v.all, p.dived[v.number]} {
		if said.Depth > 0 {
			done.Depth = said.Depth
		}
		if said.Minutes > 0 {
			done.Minutes = said.Minutes
		}
	}
	after, said := p.afterDived[v.number], p.saidDived[v.number]
	return Dived{max(done.Depth, after.Depth, said.Depth), max(done.Minutes, after.Minutes, said.Minutes)}
}

// carried is what a diver brings to a dive from those before.
type carried struct {
	tissues    tissues
	cns, cns24 float64 // percent
	otu        float64
	beyond     bool // an earlier dive had more oxygen than the table has limits for
}

// carriedTo adds up the dives before one: nitrogen with the leanest gas, oxygen with the
// richest, air at the surface between them. "No credit at the surface unless the policy
// says so (single column only, half-time 90 minutes)."
func (d *Day) carriedTo(p *person, number int, now time.Time) carried {
	first := seaOf(d.dives[0].plan)
	c := carried{tissues: startOfDay(first)}
	dived := false
	for _, v := range d.dives[:number] {
		if v.number > 1 {
			c.rest(seaOf(v.plan), v.plan.Interval, dived && d.policy.OxygenCredit)
		}
		if v.number == number {
			break
		}
		dived = d.load(&c, p, v, now) || dived
	}
	return c
}

func (c *carried) rest(w sea, minutes float64, credit bool) {
	c.tissues = c.tissues.travel(w, 21, 0, 0, minutes)
	if credit {
		c.cns *= math.Exp2(-minutes / 90)
	}
}

// load adds one dive, or the time that it takes to who doesn't dive it.
func (d *Day) load(c *carried, p *person, v *dive, now time.Time) bool {
	w, g, done := seaOf(v.plan), d.gasOn(p, v, now), d.doneBy(p, v)
	if !g.any {
		if !v.notDived {
			c.rest(w, d.lasts(v.plan).Minutes(), d.policy.OxygenCredit)
		}
		return false
	}
	c.tissues = c.tissues.after(w, g.lean, d.metres(done.Depth), done.Minutes)
	o, ok := d.gasPlace(v.plan).OxygenOf(gas.Percent(g.rich), gas.Depth{Value: done.Depth, Unit: d.units}, done.Minutes)
	c.cns, c.cns24, c.otu = c.cns+o.CNS, c.cns24+o.CNS24, c.otu+o.OTU
	c.beyond = c.beyond || !ok
	return true
}
