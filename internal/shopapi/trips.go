package shopapi

import (
	"errors"
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

const (
	typeJSON  = "application/json"
	typeMerge = "application/merge-patch+json"
)

// createTrip takes a whole trip in. The answer has the ids, the invites and
// the request check of every cylinder; of a CSV file also how it was read.
func (a *api) createTrip(c *call) {
	if !c.comesAs(typeJSON, booking.TypeCSV, booking.TypeXLSX) {
		return
	}
	dry, err := c.dryRun()
	if err == nil {
		err = c.utf8()
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	draft, imported, err := booking.ReadTrip(c.body, c.Header.Get("Content-Type"), c.shop.Policy, c.now)
	switch {
	case err != nil:
		a.failed(c.w, c.Request, err)
	case dry:
		draft.Shop = c.shop.ID
		out := a.Preview(draft.Trip, c.now)
		out.Imported = imported
		answer(c.w, http.StatusOK, out)
	default:
		a.create(c, draft, imported)
	}
}

// create stores a new trip. A request with the same idempotency key may have got
// this far before; a trip of the same reference is another one.
func (a *api) create(c *call, draft *roster.Draft, imported *booking.Imported) {
	draft.Shop = c.shop.ID
	if draft.ID = c.newTripID(); draft.Ref != "" {
		draft.ID = booking.TripOfRef(c.shop.ID, draft.Ref)
	}
	plan := draft.EditPlan()
	plan.Evening, plan.Quiet = a.Evening, a.Quiet
	t, err := a.Door.Create(c.Context(), draft)
	if errors.Is(err, roster.ErrConflict) || errors.Is(err, roster.ErrDuplicate) {
		switch {
		case c.key != "":
			t, err = a.office().Load(c.Context(), c.shop.ID, draft.ID)
		case draft.Ref != "":
			err = &booking.Refusal{Status: http.StatusConflict,
				Detail: "There is a trip of this external_ref already: /v1/trips/" + string(draft.ID) +
					". To bring it to another state: PUT /v1/by-ref/{external_ref}."}
		}
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("Location", "/v1/trips/"+string(t.ID))
	c.w.Header().Set("ETag", tagOf(t))
	out := a.tripOut(t, c.now)
	out.Imported = imported
	answer(c.w, http.StatusCreated, out)
}

// dryRun tells whether the query asks to check and store nothing.
func (c *call) dryRun() (bool, error) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), "dry_run")
	dry := c.URL.Query().Get("dry_run")
	if dry != "" && dry != "true" && dry != "false" {
		f.Add("?dry_run", "is %s: true or false is accepted", booking.Quoted(dry))
	}
	return dry == "true", f.Err()
}

func (a *api) getTrip(c *call) {
	t, ok := a.trip(c)
	if !ok || c.unchanged(tagOf(t)) {
		return
	}
	answer(c.w, http.StatusOK, a.tripOut(t, c.now))
}

// mostListed bounds one list; a shop asks for a shorter span when more is true.
const mostListed = 200

type listJSON struct {
	Trips []summaryJSON `json:"trips"`
	More  bool          `json:"more"` // there are more in this span than are listed
}

type summaryJSON struct {
	ID      roster.TripID `json:"id"`
	Name    string        `json:"name"`
	Zone    string        `json:"time_zone"`
	Departs time.Time     `json:"departs_at"`
	Dive    int           `json:"dive"` // that status and counts are of: the first that is not signed
	Status  gas.Status    `json:"status"`
	Counts  roster.Counts `json:"counts"`
}

// listTrips lists the shop's trips departing in [from, to): by default from a
// day ago on.
func (a *api) listTrips(c *call) {
	var f booking.Faults
	from := queryTime(c, "from", c.now.AddDate(0, 0, -1), &f)
	to := queryTime(c, "to", c.now.AddDate(2, 0, 0), &f)
	f.KnownQuery(c.URL.Query(), "from", "to")
	if len(f.List) == 0 && !from.Before(to) {
		f.Add("?to", "is not after from")
	}
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	ids, err := a.Trips.List(c.Context(), c.shop.ID, from, to)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	var tags []string
	out := listJSON{Trips: []summaryJSON{}, More: len(ids) > mostListed}
	for _, id := range ids[:min(len(ids), mostListed)] {
		loaded, err := a.Trips.Load(c.Context(), id, "")
		if errors.Is(err, roster.ErrNotFound) {
			continue // erased between the two reads
		}
		if err != nil {
			a.failed(c.w, c.Request, err)
			return
		}
		t := loaded.Trip
		tags = append(tags, tagOf(t))
		b := t.Board(shownDive(t, c.now), c.now)
		out.Trips = append(out.Trips, summaryJSON{t.ID, t.Name, t.Zone, t.Departs, b.Dive, b.Status, b.Counts})
	}
	if c.unchanged(tagOfList(out, tags)) {
		return
	}
	answer(c.w, http.StatusOK, out)
}

// queryTime is an RFC 3339 time, or a date, which stands for its first instant
// in UTC.
func queryTime(c *call, name string, otherwise time.Time, f *booking.Faults) time.Time {
	s := c.URL.Query().Get(name)
	if s == "" {
		return otherwise
	}
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if t, err := time.Parse(layout, s); err == nil {
			return t
		}
	}
	f.Add("?"+name, "is %s: accepted is 2027-05-15 or 2027-05-15T08:30:00Z", booking.Quoted(s))
	return otherwise
}

// patchTrip changes the plan, and who leads or is crew, by a merge patch; the
// door checks everybody again and tells those whose verdict changed.
func (a *api) patchTrip(c *call) {
	var f booking.Faults
	patch, ok := c.readDocument(&f, false, typeMerge, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", patch, &f)
	o.Known = slices.Concat(booking.Changeable, booking.Lists)
	o.Close()
	t, ok := a.apply(c, c.ifMatch(func(t *roster.Trip) (conversation.Change, error) {
		found := f
		change := booking.ReadTripChange(t, o.Fields, c.shop.Policy, c.now, &found)
		booking.ReadRoles(t, o.Fields, c.now, &found, &change)
		return change, found.Err()
	}))
	if ok {
		c.w.Header().Set("ETag", tagOf(t))
		answer(c.w, http.StatusOK, a.tripOut(t, c.now))
	}
}
