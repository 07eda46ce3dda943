package roster

import (
	"slices"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// look is one look at a trip at an instant: what several clearances need is
// worked out once. Cylinders are told apart by their ids: what somebody was told
// makes another copy of them, and no clearance another one.
type look struct {
	*Trip
	now    time.Time
	labels labels
	steel  []*physical
	found  []*found
	lines  lines
	judged []time.Time // by which each dive is; see judgedAt
	boards []Board
}

// found is the evidence of a cylinder for a dive.
type found struct {
	cyl      *Cylinder
	dive     int
	evidence gas.Evidence
	physical *physical
}

func (t *Trip) look(now time.Time) *look { return &look{Trip: t, now: now, labels: t.allLabels()} }

// find is the evidence of a person's cylinder for dive n.
func (l *look) find(p *Person, c *Cylinder, n int) (gas.Evidence, *physical) {
	for _, f := range l.found {
		if f.cyl.ID == c.ID && f.dive == n {
			return f.evidence, f.physical
		}
	}
	ph := l.physical(p, c)
	k := l.question(p, c, n, ph)
	f := &found{c, n, evidence.Find(&ph.all, &k), ph}
	l.found = append(l.found, f)
	return f.evidence, ph
}

// question is the case that is put to evidence.
func (l *look) question(p *Person, c *Cylinder, n int, ph *physical) evidence.Case {
	k := evidence.Case{Diver: string(p.ID), Place: string(c.ID), Since: c.since(n, never), Now: l.now,
		FreshFor: freshFor(l.Policy.FreshFor), All: l.Policy.BoatCheck != gas.BoatCheckUnattended,
		TellShop: l.Policy.TellShop, Used: l.used(c, ph, n, never),
		UsedAsKnown: l.usedAsKnown(c, ph, n), Asked: c.requests()}
	if c.Replanned != nil {
		k.Replan = c.Replanned.Values
	}
	if d := l.Dive(n); d != nil {
		k.Start = l.agedBy(n)
		for _, o := range d.Boat {
			k.Opened = append(k.Opened, o.Moment)
		}
	}
	k.Kept = c.kept(n, forEver)
	return k
}

// kept is the last answer for dive n until an instant, if it was that the cylinder
// stayed with its diver; else zero. "Changed" on another dive voids the readings.
func (c *Cylinder) kept(n int, until time.Time) evidence.Moment {
	for _, a := range slices.Backward(c.Answers) {
		if a.At.After(until) || a.Dive != n {
			continue
		}
		if a.Answer == Kept {
			return a.Moment
		}
		break
	}
	return evidence.Moment{}
}

// forEver is after everything.
var forEver = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

func freshFor(hours float64) time.Duration { return time.Duration(hours * float64(time.Hour)) }

// since is the moment from which what was read of the cylinder counts on dive n, of what
// was said until some moment: when it came here without a leader's word, was added, or had its label put right
// from one that somebody else claims.
func (c *Cylinder) since(n int, until evidence.Moment) evidence.Moment {
	since := last(c.Added, c.arrived(n, until))
	if until.Before(c.Afresh) {
		return since
	}
	return last(since, c.Afresh)
}

// afreshBefore is from when what is read of the cylinder counts where it stands, of what was said before something: it
// came, or had its label put right.
func (c *Cylinder) afreshBefore(nth int) evidence.Moment {
	if c.Afresh.Nth < nth {
		return last(c.Added, c.Afresh)
	}
	return c.Added
}

// ashoreBefore stands for the opening of the boat check of a dive that was dropped: the last number before another
// that was said before it was opened, or opened again; 0 for none.
func (c *Cylinder) ashoreBefore(r *Reading) int {
	for _, o := range slices.Backward(c.Readings) {
		if o.Nth < r.Nth && (o.Stage != r.Stage || o.Openings != r.Openings) {
			return o.Nth
		}
	}
	return 0
}

// arrived is when the cylinder was brought to dive n without a leader's word, zero
// when there was none.
func (c *Cylinder) arrived(n int, until evidence.Moment) evidence.Moment {
	for i := len(c.Moves) - 1; i >= 0; i-- {
		if m := &c.Moves[i]; m.To == n && !until.Before(m.Moment) {
			if m.Confirmed == "" || until.Before(m.ConfirmedAt) {
				return m.Moment
			}
			break
		}
	}
	return evidence.Moment{}
}

// used is when a dive with the cylinder that was dived had ended, of those that
// ended until an instant and were said before, with whatever was known to be the same cylinder by
// then. Whoever sat it out or took the cylinder away without a
// leader's word, somebody may have breathed from it.
func (l *look) used(c *Cylinder, ph *physical, n int, until evidence.Moment) evidence.Moment {
	return l.usedWith(c, ph, n, until, func(*Outcome) evidence.Moment { return until })
}

// usedAsKnown is the same with what was known to be the same cylinder when a leader said that a dive was dived.
func (l *look) usedAsKnown(c *Cylinder, ph *physical, n int) evidence.Moment {
	return l.usedWith(c, ph, n, never, func(o *Outcome) evidence.Moment { return o.Moment })
}

func (l *look) usedWith(c *Cylinder, ph *physical, n int, until evidence.Moment,
	known func(*Outcome) evidence.Moment) evidence.Moment {
	var used evidence.Moment
	for m := range len(l.Dives) {
		if m+1 == n || !l.WasDived(m+1) {
			continue
		}
		o := l.Dives[m].Outcome
		on := slices.ContainsFunc(ph.parts, func(p part) bool {
			return p.cyl.wasOn(m+1, o.Began) && !known(o).Before(ph.joined(string(c.ID), string(p.cyl.ID)))
		})
		if on && o.Ended.After(used.At) && !o.Ended.After(until.At) && o.Nth < until.Nth {
			used = evidence.Moment{At: o.Ended, Nth: o.Nth}
		}
	}
	return used
}

// requests are those for a cylinder, the one of now last.
func (c *Cylinder) requests() []evidence.Asked {
	asked := make([]evidence.Asked, 0, len(c.Changed)+1)
	for _, was := range c.Changed {
		asked = append(asked, evidence.Asked{Percent: was.Was, Until: was.Nth})
	}
	return append(asked, evidence.Asked{Percent: c.Asked})
}

// diver is what the check needs of a person on dive n, but for cylinders and the
// dives before.
func (l *look) diver(p *Person, n int) gas.Diver {
	return gas.Diver{Card: p.Card, DepthLimit: p.DepthLimit, Set: p.LimitOn(n), Team: l.TeamLimitOn(p, n),
		Dive:        l.GasDive(n),
		OwnComputer: p.DivedBefore == "yes", Needed: true, Left: !p.Left.IsZero(), Speak: len(p.Speak) > 0}
}

// Evidence is what the readings of a cylinder come to, for its diver and dive.
func (t *Trip) Evidence(id CylinderID, now time.Time) gas.Evidence {
	p, c := t.Cylinder(id)
	if c == nil {
		return gas.Evidence{}
	}
	e, _ := t.look(now).find(p, c, c.Dive)
	return e
}

// Evidence is what the readings of a cylinder come to, with all that the draft
// has changed.
func (d *Draft) Evidence(id CylinderID, now time.Time) gas.Evidence {
	p, c := d.Cylinder(id)
	if c == nil {
		return gas.Evidence{}
	}
	e, _ := d.reading(now).find(p, c, c.Dive)
	return e
}

// ShownOf is the reading to show for a cylinder: the newest that counts, else
// the newest that was not taken back; nil when there is none.
func (t *Trip) ShownOf(id CylinderID, now time.Time) *Reading {
	return t.shown(id, t.Evidence(id, now))
}

// ShownOf is the reading to show for a cylinder, with all that the draft has changed.
func (d *Draft) ShownOf(id CylinderID, now time.Time) *Reading {
	return d.shown(id, d.Evidence(id, now))
}

func (t *Trip) shown(id CylinderID, e gas.Evidence) *Reading {
	if n := len(e.Counting); n > 0 {
		_, r := t.Reading(ReadingID(e.Counting[n-1].ID))
		return r
	}
	_, c := t.Cylinder(id)
	if c == nil {
		return nil
	}
	return c.Newest()
}
