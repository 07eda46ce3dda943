package roster

import (
	"slices"
	"strconv"
	"time"
)

// SitOut takes a person off a dive, or (0) off the trip, by a leader; BackIn takes
// that back. A leader's word on who sat themself out takes the place of theirs.
func (d *Draft) SitOut(p PersonID, dive int, by PersonID, reason string, now time.Time) bool {
	person := d.Person(p)
	if person == nil || !d.leads(by) {
		return false
	}
	i := slices.IndexFunc(person.Outs, func(o Out) bool { return o.Dive == dive })
	if i >= 0 && (by == p || person.Outs[i].By != p) {
		return true
	}
	person = d.Edit(p)
	if i >= 0 {
		person.Outs[i].By, person.Outs[i].Reason = by, reason
	} else {
		person.Outs = append(person.Outs, Out{Dive: dive, By: by, At: now, Reason: reason})
	}
	if dive == 0 {
		d.leaveQueue(p)
	}
	d.act(now, by, VerbOut, string(p), reason, "dive", diveText(dive))
	return true
}

// BackIn takes a sit-out back, by a leader; the trip's (0) takes back every dive's.
// For themself a leader takes back only what they set: nobody improves by their own
// act how they stand.
func (d *Draft) BackIn(p PersonID, dive int, by PersonID, reason string, now time.Time) bool {
	person := d.Person(p)
	ends := func(o Out) bool { return (dive == 0 || o.Dive == dive) && (by != p || o.By == p) }
	if person == nil || !d.leads(by) || !slices.ContainsFunc(person.Outs, ends) {
		return false
	}
	person = d.Edit(p)
	person.Outs = slices.DeleteFunc(person.Outs, ends)
	d.act(now, by, VerbBackIn, string(p), reason, "dive", diveText(dive))
	return true
}

// SetOutside says that this check does not cover a person, on a dive or (0) the
// trip: by shop or leader, never for themself.
func (d *Draft) SetOutside(p PersonID, dive int, by PersonID, reason string, now time.Time) bool {
	person := d.Person(p)
	if person == nil || (by != "" && !d.leadsOther(by, p)) {
		return false
	}
	if has(person.Outsides, dive) {
		return true
	}
	person = d.Edit(p)
	person.Outsides = append(person.Outsides, Out{Dive: dive, By: by, At: now, Reason: reason})
	d.act(now, by, VerbOutside, string(p), reason, "dive", diveText(dive))
	return true
}

// EndOutside takes it back; the trip's (0) takes back every dive's.
func (d *Draft) EndOutside(p PersonID, dive int, by PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil || (by != "" && !d.leadsOther(by, p)) || !has(person.Outsides, dive) &&
		(dive != 0 || len(person.Outsides) == 0) {
		return false
	}
	person = d.Edit(p)
	person.Outsides = without(person.Outsides, dive)
	d.act(now, by, VerbOutsideBack, string(p), "", "dive", diveText(dive))
	return true
}

func has(outs []Out, dive int) bool {
	return slices.ContainsFunc(outs, func(o Out) bool { return o.Dive == dive })
}

func without(outs []Out, dive int) []Out {
	return slices.DeleteFunc(outs, func(o Out) bool { return dive == 0 || o.Dive == dive })
}

func diveText(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
