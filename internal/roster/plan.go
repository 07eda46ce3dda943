package roster

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
)

// What the shop changes holds at once before the first reading of a trip. After
// it only what is stricter does; the rest waits for a leader's consent. What a
// leader changes holds at once, but a policy, which is the shop's.

// Any tells whether something waits for a leader's consent.
func (w Wanted) Any() bool { return w.Policy != nil || w.Starts != nil || len(w.Dives) > 0 }

// read tells whether anything was read on the trip.
func (t *Trip) read() bool {
	for range t.readings() {
		return true
	}
	return false
}

// waits tells whether what by wants has to wait for consent.
func (t *Trip) waits(by PersonID) bool { return by == "" && t.read() }

// SetDive changes dive n's plan (site, depth, bottom, minutes, water, altitude,
// interval), by the shop or a leader. It returns false when nobody may, when the
// depth is beyond the policy's deepest, or when the dive was dived: what was dived
// is said by SetDived.
func (d *Draft) SetDive(n int, plan Dive, by PersonID, reason string, now time.Time) bool {
	old := d.Dive(n)
	if old == nil || (by != "" && !d.leads(by)) || d.tooDeep(plan.Depth) || d.WasDived(n) {
		return false
	}
	plan.Dived, plan.Boat, plan.Outcome, plan.Agreed = old.Dived, old.Boat, old.Outcome, 0
	is := plan
	if d.waits(by) {
		is = old.stricter(plan)
	}
	if d.want(n, is, plan) {
		d.act(now, by, VerbSite, "", reason, append([]string{"dive", strconv.Itoa(n), "waits", "yes"},
			planChanges(is, plan)...)...)
	}
	if changes := planChanges(*old, is); len(changes) > 0 || is.Agreed != old.Agreed {
		dive := d.EditDive(n)
		is.Dived, is.Boat = dive.Dived, dive.Boat
		*dive = is
		d.act(now, by, VerbSite, "", reason, append([]string{"dive", strconv.Itoa(n)}, changes...)...)
	}
	return true
}

// tooDeep tells whether a plan is beyond the policy's deepest.
func (t *Trip) tooDeep(depth gas.Depth) bool {
	return t.Policy.Deepest.Known() && depth.DeeperThan(t.Policy.Deepest.NamedIn(t.Units))
}

// want keeps what waits of a plan, in the place of anything that waited for that
// dive. It returns whether that is something else than before.
func (d *Draft) want(n int, is, plan Dive) bool {
	of := func(w WantedDive) bool { return w.Dive == n }
	waits := len(planChanges(is, plan)) > 0 || is.Agreed > 0
	i := slices.IndexFunc(d.Wanted.Dives, of)
	if !waits && i < 0 || waits && i >= 0 && len(planChanges(d.Wanted.Dives[i].Plan, plan)) == 0 {
		return false
	}
	wanted := &d.EditPlan().Wanted
	wanted.Dives = slices.DeleteFunc(wanted.Dives, of)
	if waits {
		plan.Dived, plan.Boat, plan.Outcome = nil, nil, nil
		wanted.Dives = append(wanted.Dives, WantedDive{Dive: n, Plan: plan})
	}
	return true
}

// stricter is what of a new plan holds without a leader's consent: depth and
// minutes, a deeper bottom, a shorter interval, and the site's name. By a shorter interval no reading is younger.
func (d *Dive) stricter(plan Dive) Dive {
	is := *d
	is.Site, is.Depth, is.Minutes = plan.Site, plan.Depth, plan.Minutes
	if plan.Bottomless || (!d.Bottomless && plan.Bottom.Known() &&
		(!d.Bottom.Known() || plan.Bottom.DeeperThan(d.Bottom))) {
		is.Bottom, is.Bottomless = plan.Bottom, plan.Bottomless
	}
	if is.Interval = min(d.Interval, plan.Interval); is.Interval < d.Interval {
		is.Agreed = max(d.Agreed, d.Interval)
	}
	return is
}

// SetDives changes the whole plan: dives that differ, dives added at the end,
// dives dropped from the end. A dive that was dived is not changed; one that was
// signed or dived, or that somebody's cylinder in use is for, is not dropped; it returns false then, and nothing has
// changed.
func (d *Draft) SetDives(dives []Dive, by PersonID, reason string, now time.Time) bool {
	for n := len(dives) + 1; n <= len(d.Dives); n++ {
		if d.Signature(n) != nil || d.Dives[n-1].Outcome != nil || d.usedOn(n) {
			return false
		}
	}
	if len(dives) == 0 || (by != "" && !d.leads(by)) {
		return false
	}
	for i := range dives {
		dived := d.WasDived(i+1) && len(planChanges(d.Dives[i], dives[i])) > 0
		if dived || d.tooDeep(dives[i].Depth) {
			return false
		}
	}
	if len(dives) < len(d.Dives) {
		d.cutDives(len(dives))
	}
	for i, dive := range dives {
		if i < len(d.Dives) {
			d.SetDive(i+1, dive, by, reason, now)
			continue
		}
		dive.Dived, dive.Boat, dive.Outcome = nil, nil, nil
		plan := d.EditPlan()
		plan.Dives = append(plan.Dives, dive)
		d.act(now, by, VerbSite, "", reason, append([]string{"dive", strconv.Itoa(i + 1)}, planChanges(Dive{}, dive)...)...)
	}
	return true
}

// cutDives leaves only the first n dives, and what waits for them.
func (d *Draft) cutDives(n int) {
	plan := d.EditPlan()
	plan.Dives = plan.Dives[:n]
	plan.Wanted.Dives = slices.DeleteFunc(plan.Wanted.Dives, func(w WantedDive) bool { return w.Dive > n })
}

func (t *Trip) usedOn(n int) bool {
	for _, p := range t.People {
		if len(p.on(n)) > 0 {
			return true
		}
	}
	return false
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

// SetDeparture moves the departure, SetFirstDiveAfter what passes from it until
// the first dive, in minutes; by the shop or a leader.
func (d *Draft) SetDeparture(at time.Time, by PersonID, now time.Time) bool {
	s := d.starting()
	s.Departs = at.UTC()
	return d.setStart(s, by, now)
}

// SetStart moves departure and first dive in one change: it is looser or stricter by
// when the first dive starts.
func (d *Draft) SetStart(at time.Time, after float64, by PersonID, now time.Time) bool {
	return d.setStart(Starting{Departs: at.UTC(), FirstDiveAfter: after}, by, now)
}

// SetFirstDiveAfter is described at SetDeparture.
func (d *Draft) SetFirstDiveAfter(after float64, by PersonID, now time.Time) bool {
	s := d.starting()
	s.FirstDiveAfter = after
	return d.setStart(s, by, now)
}

// starting is when the day begins, as it was wanted last.
func (t *Trip) starting() Starting {
	if t.Wanted.Starts != nil {
		return *t.Wanted.Starts
	}
	return Starting{Departs: t.Departs, FirstDiveAfter: t.FirstDiveAfter}
}

func (s Starting) dive() time.Time { return s.Departs.Add(minutes(s.FirstDiveAfter)) }

func (d *Draft) setStart(s Starting, by PersonID, now time.Time) bool {
	if by != "" && !d.leads(by) {
		return false
	}
	was := Starting{Departs: d.Departs, FirstDiveAfter: d.FirstDiveAfter}
	if d.waits(by) && s.dive().Before(was.dive()) {
		if w := d.Wanted.Starts; w == nil || *w != s {
			d.EditPlan().Wanted.Starts = &s
			d.act(now, by, VerbDeparture, "", "", "waits", "yes", "now", timeText(s.Departs), "first_dive_after",
				number(s.FirstDiveAfter))
		}
		return true
	}
	if d.Wanted.Starts != nil {
		d.EditPlan().Wanted.Starts = nil
		d.act(now, by, VerbDeparture, "", "", "waits", "no")
	}
	if s.Departs.Equal(was.Departs) && s.FirstDiveAfter == was.FirstDiveAfter {
		return true
	}
	plan := d.EditPlan()
	d.moveReady(s.Departs.Sub(was.Departs))
	plan.Departs, plan.FirstDiveAfter = s.Departs, s.FirstDiveAfter
	d.act(now, by, VerbDeparture, "", "", "was", timeText(was.Departs), "now", timeText(s.Departs),
		"was_first_dive_after", number(was.FirstDiveAfter), "first_dive_after", number(s.FirstDiveAfter))
	return true
}

// SetCylindersReady plans when the cylinders can be analysed, zero for the usual
// time before departure. What was said of it before is over.
func (d *Draft) SetCylindersReady(at, now time.Time) {
	if at = at.UTC(); at.Equal(d.CylindersReady) && d.Ready.IsZero() {
		return
	}
	d.EditPlan().CylindersReady = at
	d.EditCourse().Ready = time.Time{}
	d.act(now, "", VerbReady, "", "", "planned", timeText(at))
}

// CylindersAreReady notes that the cylinders can be analysed from now on.
func (d *Draft) CylindersAreReady(now time.Time) {
	if d.Ready.Equal(now) {
		return
	}
	d.EditCourse().Ready = now
	d.act(now, "", VerbReady, "", "")
}

// moveReady moves the planned time along with the departure. What was said of
// another day's cylinders is over.
func (d *Draft) moveReady(by time.Duration) {
	if at := d.CylindersReady; !at.IsZero() && by != 0 {
		d.EditPlan().CylindersReady = at.Add(by)
	}
	if by.Abs() >= 12*time.Hour && !d.Ready.IsZero() {
		d.EditCourse().Ready = time.Time{}
	}
}

// SetPolicy changes what the gas is held against, by the shop. After the first
// reading what is looser waits for a leader's consent. By a leader alone it has
// no effect.
func (d *Draft) SetPolicy(p gas.Policy, by PersonID, now time.Time) bool {
	if by != "" {
		return false
	}
	is := p
	if d.waits(by) {
		is = p.Stricter(d.Policy)
	}
	switch w := d.Wanted.Policy; {
	case is != p && (w == nil || *w != p):
		d.EditPlan().Wanted.Policy = &p
		d.act(now, by, VerbPolicy, "", "", "waits", strings.Join(p.LooserThan(is), " "))
	case is == p && w != nil:
		d.EditPlan().Wanted.Policy = nil
		d.act(now, by, VerbPolicy, "", "", "waits", "no")
	}
	d.setPolicy(is, by, now)
	return true
}

func (d *Draft) setPolicy(p gas.Policy, by PersonID, now time.Time) {
	if p == d.Policy {
		return
	}
	d.act(now, by, VerbPolicy, "", "", "fields", strings.Join(p.Changed(), " "), "looser",
		strings.Join(p.LooserThan(d.Policy), " "))
	d.EditPlan().Policy = p
}

// Consent is a leader's word to all that waits. It returns false when nothing
// does.
func (d *Draft) Consent(by PersonID, now time.Time) bool {
	if !d.leads(by) || !d.Wanted.Any() {
		return false
	}
	w := d.Wanted
	d.EditPlan().Wanted = Wanted{}
	d.act(now, by, VerbConsent, "", "")
	if w.Policy != nil {
		d.setPolicy(*w.Policy, by, now)
	}
	if w.Starts != nil {
		d.setStart(*w.Starts, by, now)
	}
	for _, wanted := range w.Dives {
		d.SetDive(wanted.Dive, wanted.Plan, by, "", now)
	}
	return true
}

// Rename changes the trip's name.
func (d *Draft) Rename(name string, by PersonID, now time.Time) {
	if name == d.Name {
		return
	}
	d.act(now, by, VerbName, "", "", "was", d.Name, "now", name)
	d.EditPlan().Name = name
}
