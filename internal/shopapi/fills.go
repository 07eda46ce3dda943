package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// fills answers with the fill list: JSON, CSV, or a page to print.
func (a *api) fills(c *call) {
	t, ok := a.trip(c)
	if !ok {
		return
	}
	media, ok := c.wants(typeJSON, booking.TypeCSV, typeHTML, typePDF)
	if !ok {
		return
	}
	list := booking.ListFills(t, c.now, a.english)
	switch media {
	case booking.TypeCSV:
		a.fillsCSV(c, t)
	case typePDF:
		a.fillsPDF(c, []*roster.Trip{t}, t.Departs.UTC().Format(time.DateOnly))
	case typeHTML:
		a.fillsSheet(c, t, list)
	default:
		answer(c.w, http.StatusOK, list)
	}
}

// lockFills ends the divers' one-tap changes: what changes afterwards is
// flagged in the list.
func (a *api) lockFills(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	booking.ObjectAt("", v, &f).Close()
	t, ok := a.apply(c, func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Lock: true}, f.Err()
	})
	if ok {
		answer(c.w, http.StatusOK, booking.ListFills(t, c.now, a.english))
	}
}

// fill notes that a cylinder was filled or topped up: its earlier readings are
// void, and its diver is asked to analyse again.
func (a *api) fill(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	at := pastMoment(o, "filled_at", c.now)
	if at.Equal(c.now) {
		at = time.Time{} // now, and after everything that was noted before: see Trip.Fill
	}
	o.Close()
	id := roster.CylinderID(c.PathValue("cylinder"))
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		if _, cyl := t.Cylinder(id); cyl == nil || !cyl.Retired.IsZero() {
			return conversation.Change{}, roster.ErrNotFound
		}
		return conversation.Change{Filled: []roster.CylinderID{id}, FilledAt: at}, f.Err()
	})
	if !ok {
		return
	}
	p, cyl := t.Cylinder(id)
	answer(c.w, http.StatusOK, a.cylinderOut(t, p, cyl, c.now))
}

// clockSkew is how far a shop's clock may be ahead.
const clockSkew = 5 * time.Minute

// pastMoment is when something happened: now when not given, not later, and
// not more than a week ago.
func pastMoment(o *booking.Object, name string, now time.Time) time.Time {
	at, ok := o.Moment(name)
	switch {
	case !ok:
		return now
	case at.After(now.Add(clockSkew)):
		o.Fault(name, "is in the future: a time up to now, %s, is accepted", now.UTC().Format(time.RFC3339))
	case at.Before(now.AddDate(0, 0, -7)):
		o.Fault(name, "is more than a week ago")
	}
	return at
}
