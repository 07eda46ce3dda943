package roster

import (
	"slices"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// legs are a person's dives before dive n: as they were dived, or else as they
// are planned.
func (l *look) legs(p *Person, n int) []gas.Leg {
	if n < 2 {
		return nil
	}
	legs := make([]gas.Leg, 0, n-1)
	for m := 1; m < n && m <= len(l.Dives); m++ {
		legs = append(legs, l.leg(p, m))
	}
	return legs
}

// leg is dive m as it weighs on the dives after it. Who sits it out, or has no
// cylinder for it, spends its time at the surface; of a dive that was not dived
// at all only the interval counts, but for who says since that they dived it. Who
// was on a dive that was dived is as it was when it began.
func (l *look) leg(p *Person, m int) gas.Leg {
	d := l.GasDive(m)
	leg := gas.Leg{Number: m, Place: d.Place, Depth: d.Depth, Minutes: d.Minutes, Interval: d.Interval}
	if l.NotDived(m) && !l.divedAnyway(m, p.ID) {
		leg.AtSurface, leg.Minutes = true, 0
		return leg
	}
	cylinders := l.weighing(p, m)
	leg.Depth, leg.Minutes = l.dived(m, p.ID)
	if len(cylinders) == 0 {
		leg.AtSurface, leg.Minutes = true, l.Dives[m-1].lasts().Minutes()
		if l.NotDived(m) {
			leg.Minutes = 0
		}
		return leg
	}
	var b evidence.Breathed
	for _, c := range cylinders {
		one := l.breathed(p, c, m)
		b.Include(one.Rich, one.Lean)
	}
	leg.Rich, leg.Lean = b.Rich, b.Lean
	return leg
}

// weighing are the cylinders that a person may breathe on dive m: in use, or moved
// away without a leader's word, so that moving one helps no later dive. There is
// none for who sits it out.
func (l *look) weighing(p *Person, m int) []*Cylinder {
	if l.WasDived(m) {
		o := l.Dives[m-1].Outcome
		if slices.Contains(o.Out, p.ID) {
			return nil
		}
		return p.stoodOn(m, evidence.Moment{At: o.Began, Nth: o.Nth})
	}
	if p.OutOf(m) != nil {
		return nil
	}
	return p.claiming(m)
}

// stoodOn are the cylinders that a person had for dive m when it began, of what was said before the answer.
func (p *Person) stoodOn(m int, at evidence.Moment) []*Cylinder {
	return slices.DeleteFunc(slices.Clone(p.Cylinders), func(c *Cylinder) bool { return !c.stoodOn(m, at) })
}

// stoodOn tells whether a cylinder was for dive m at an instant, or left behind on
// it. One that was put on the trip after the leader's answer, in the same second, was not.
func (c *Cylinder) stoodOn(m int, began evidence.Moment) bool {
	if began.Before(c.Added) {
		return false
	}
	at := began.At
	dive, left := c.Dive, c.leftBy(m, at) // where it was moved later changes nothing
	for i := range slices.Backward(c.Moves) {
		switch v := &c.Moves[i]; {
		case v.At.After(at):
			dive = v.From
		case v.From == m && left:
			return true
		case v.To == 0:
			dive = 0
		}
	}
	return dive == m && (!c.Swapped || c.Retired.After(at))
}

// wasOn tells whether a cylinder was for dive m at any time after an instant: a boat may
// be later than its plan.
func (c *Cylinder) wasOn(m int, after time.Time) bool {
	if c.leftBehind(m) {
		return true
	}
	if c.Swapped && !c.Retired.After(after) {
		return false
	}
	if slices.ContainsFunc(c.Moves, func(v Move) bool { return v.From == m && v.At.After(after) }) {
		return true
	}
	return c.Dive == m && (c.Swapped || c.Retired.IsZero())
}

// breathed are the richest and the leanest that a cylinder may have been: what
// was read, and while nothing counts every request and every number ever said
// for its place.
func (l *look) breathed(p *Person, c *Cylinder, m int) evidence.Breathed {
	if l.WasDived(m) {
		return l.stood(p, c, m)
	}
	e, _ := l.find(p, c, m)
	b := evidence.Breathed{Rich: e.Rich, Lean: e.Lean, Counted: e.Counts()}
	if !b.Counted {
		l.everRead(p, c.At(), c.stoodUntil(m), never, &b)
		p.everAsked(c.At(), forEver, &b)
	}
	return b
}

// stood is a cylinder of dive m, which was dived, as it stood when that began.
func (l *look) stood(p *Person, c *Cylinder, m int) evidence.Breathed {
	o := l.Dives[m-1].Outcome
	began := evidence.Moment{At: o.Began, Nth: o.Nth}
	ph := l.physical(p, c)
	k := l.question(p, c, m, ph)
	k.Used, k.Kept, k.Since = l.used(c, ph, m, began), c.kept(m, o.Began), c.since(m, began)
	k.UsedAsKnown = k.Used
	k.Start, k.FreshFor, k.All = o.Start, freshFor(o.FreshFor), o.BoatCheck != gas.BoatCheckUnattended
	b := evidence.Stood(&ph.all, &k, began)
	if b.Counted {
		return b
	}
	l.everRead(p, c.At(), earlier(o.Began, c.stoodUntil(m)), began, &b)
	p.everAsked(c.At(), o.Began, &b)
	return b
}

// everRead widens by all that was read, until a moment, of the cylinders that stood in
// a place before another, and until they left it; slips apart.
func (l *look) everRead(p *Person, place CylinderID, stood time.Time, until evidence.Moment, b *evidence.Breathed) {
	for _, c := range p.Cylinders {
		if c.At() != place || c.Added.At.After(stood) {
			continue
		}
		left := until
		if next := p.after(c); next != nil && next.Added.Before(until) {
			left = next.Added
		}
		ever := evidence.Ever(&l.physical(p, c).all, string(c.ID), left, until)
		b.Include(ever.Rich, ever.Lean)
	}
}

// after is the cylinder that came into the place of another, nil when none did.
func (p *Person) after(c *Cylinder) *Cylinder {
	i := slices.Index(p.Cylinders, c)
	for _, o := range p.Cylinders[i+1:] {
		if c.Swapped && o.At() == c.At() {
			return o
		}
	}
	return nil
}

// stoodUntil is when a cylinder was taken away from dive m without a leader's word:
// what stood in its place later was not breathed there. Never while it is there.
func (c *Cylinder) stoodUntil(m int) time.Time {
	if c.leftBehind(m) {
		for _, move := range slices.Backward(c.Moves) {
			if move.From == m {
				return move.At
			}
		}
	}
	return forEver
}

// everAsked widens by all requests for a place until an instant; for nitrogen it
// is never richer than air.
func (p *Person) everAsked(place CylinderID, until time.Time, b *evidence.Breathed) {
	b.Include(0, gas.Air)
	for _, c := range p.Cylinders {
		if c.At() != place || c.Added.At.After(until) {
			continue
		}
		from := c.Added.At
		for _, was := range c.Changed {
			if !from.After(until) {
				b.Include(was.Was, was.Was)
			}
			from = was.At
		}
		if !from.After(until) {
			b.Include(c.Asked, c.Asked)
		}
	}
	if b.Rich == 0 {
		b.Rich = gas.Air
	}
}

// LeanestForTime is the leanest whole blend that gives a person the planned
// minutes of dive n without stops, after the dives before it; see
// gas.LeanestForTime.
func (t *Trip) LeanestForTime(p *Person, n int) (leanest gas.Percent, ok bool) {
	l := t.look(t.Starts(n))
	d := l.diver(p, n)
	d.Before = l.legs(p, n)
	return gas.LeanestForTime(t.Policy, d)
}
