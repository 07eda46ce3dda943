package roster

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
)

// SetDive changes dive n's plan (site, depth, bottom, minutes, water, altitude,
// interval); what was dived stays. Plans made again with a measured value were
// made for the old site.
func (t *Trip) SetDive(n int, d Dive, by PersonID, reason string, now time.Time) {
	old := t.Dive(n)
	if old == nil {
		return
	}
	d.Dived, d.BoatOpen = old.Dived, old.BoatOpen
	changes := planChanges(*old, d)
	if len(changes) == 0 {
		return
	}
	t.news(n, by, VerbSite, now)
	*old = d
	t.forgetReplans(n)
	t.act(now, by, VerbSite, "", reason, append([]string{"dive", strconv.Itoa(n)}, changes...)...)
}

// SetDives changes the whole plan: dives that differ, dives added at the end,
// dives dropped from the end. A dive that was signed off, or that somebody's
// cylinder in use is for, is not dropped; it returns false then, and nothing
// has changed.
func (t *Trip) SetDives(dives []Dive, by PersonID, reason string, now time.Time) bool {
	for n := len(dives) + 1; n <= len(t.Dives); n++ {
		if t.signature(n) != nil || t.usedOn(n) {
			return false
		}
	}
	if len(dives) == 0 {
		return false
	}
	t.Dives = t.Dives[:min(len(t.Dives), len(dives))]
	for i, d := range dives {
		if i < len(t.Dives) {
			t.SetDive(i+1, d, by, reason, now)
			continue
		}
		d.Dived, d.BoatOpen = nil, time.Time{}
		t.Dives = append(t.Dives, d)
		t.act(now, by, VerbSite, "", reason, append([]string{"dive", strconv.Itoa(i + 1)}, planChanges(Dive{}, d)...)...)
	}
	t.followBoat()
	return true
}

func (t *Trip) usedOn(n int) bool {
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if c.Dive == n {
				return true
			}
		}
	}
	return false
}

func (t *Trip) forgetReplans(n int) {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if c.Dive == n {
				c.Replanned = nil
			}
		}
	}
}

// planChanges are the old and new values of what differs between two plans, as
// an act's detail.
func planChanges(was, now Dive) []string {
	var changes []string
	for _, field := range []struct{ name, was, now string }{
		{"site", was.Site, now.Site},
		{"depth", depthText(was.Depth), depthText(now.Depth)},
		{"bottom", bottomText(was), bottomText(now)},
		{"minutes", number(was.Minutes), number(now.Minutes)},
		{"water", was.Water.String(), now.Water.String()},
		{"altitude", number(was.Altitude), number(now.Altitude)},
		{"interval", number(was.Interval), number(now.Interval)},
	} {
		if field.was != field.now {
			changes = append(changes, "was_"+field.name, field.was, field.name, field.now)
		}
	}
	return changes
}

func bottomText(d Dive) string {
	if d.Bottomless {
		return "none"
	}
	return depthText(d.Bottom)
}

// SetDived records what dive n was, for a person or ("") for all. That is news
// for a later dive that was signed off on the plan and is not over yet.
func (t *Trip) SetDived(n int, d Dived, now time.Time) {
	dive := t.Dive(n)
	if dive == nil {
		return
	}
	if d.At.IsZero() {
		d.At = now
	}
	for later := n + 1; later <= len(t.Dives); later++ {
		if len(t.Dives[later-1].Dived) == 0 && !now.After(t.Ends(later)) {
			t.news(later, d.By, VerbDived, now)
		}
	}
	dive.Dived = append(dive.Dived, d)
	t.act(now, d.By, VerbDived, string(d.Person), "", "dive", strconv.Itoa(n), "depth", depthText(d.Depth), "minutes", number(d.Minutes))
}

// DivedBy is what a person dived on dive n, by the last entry that names them
// or, where none does, the last for all; false while the plan is assumed.
func (t *Trip) DivedBy(n int, p PersonID) (Dived, bool) {
	d := t.Dive(n)
	if d == nil {
		return Dived{}, false
	}
	var all *Dived
	for i := len(d.Dived) - 1; i >= 0; i-- {
		switch e := &d.Dived[i]; {
		case e.Person == p:
			return *e, true
		case e.Person == "" && all == nil:
			all = e
		}
	}
	if all == nil {
		return Dived{}, false
	}
	return *all, true
}

// SetDeparture moves the departure. It is news for a signed dive only where a
// reading grows too old by it.
func (t *Trip) SetDeparture(at time.Time, by PersonID, now time.Time) {
	if at.Equal(t.Departs) {
		return
	}
	was := t.Departs
	t.Departs = at.UTC()
	for n := range t.Dives {
		if t.outdated(n + 1) {
			t.news(n+1, by, VerbDeparture, now)
		}
	}
	t.act(now, by, VerbDeparture, "", "", "was", timeText(was), "now", timeText(t.Departs))
}

// outdated tells whether a newest reading for dive n is too old for its start.
func (t *Trip) outdated(n int) bool {
	latest := t.Starts(n).Add(-time.Duration(t.Policy.FreshFor * float64(time.Hour)))
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if r := c.Current(); r != nil && c.Dive == n && r.taken().Before(latest) {
				return true
			}
		}
	}
	return false
}

// Rename changes the trip's name.
func (t *Trip) Rename(name string, by PersonID, now time.Time) {
	if name == t.Name {
		return
	}
	t.act(now, by, VerbName, "", "", "was", t.Name, "now", name)
	t.Name = name
}

// SetPolicy changes what the gas is held against. Whether a loosening needs a
// leader's consent is the caller's business; see gas.Policy.LooserThan.
func (t *Trip) SetPolicy(p gas.Policy, by PersonID, now time.Time) {
	if p == t.Policy {
		return
	}
	t.newsOfPeople(by, VerbPolicy, now)
	t.act(now, by, VerbPolicy, "", "", "fields", strings.Join(p.Changed(), " "), "looser", strings.Join(p.LooserThan(t.Policy), " "))
	t.Policy = p
}
