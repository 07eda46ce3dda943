package shopapi

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

const (
	typeJSON  = "application/json"
	typeMerge = "application/merge-patch+json"
	typeCSV   = "text/csv"
)

// createTrip takes a whole trip in. The answer has the ids, the invites and
// the request check of every cylinder; of a CSV file also how it was read.
func (a *api) createTrip(c *call) {
	if !c.comesAs(typeJSON, typeCSV) {
		return
	}
	t, imported, err := ReadTrip(c.body, c.Header.Get("Content-Type"), c.now)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	t.ID, t.Shop, t.Evening, t.Quiet = c.newTripID(), c.shop.ID, a.Evening, a.Quiet
	err = a.Door.Create(c.Context(), t)
	if (errors.Is(err, roster.ErrConflict) || errors.Is(err, roster.ErrDuplicate)) && c.key != "" {
		// The same request with the same key got this far before.
		var loaded roster.Loaded
		if loaded, err = a.Trips.Load(c.Context(), t.ID, ""); err == nil {
			t = loaded.Trip
		}
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("Location", "/v1/trips/"+string(t.ID))
	out := a.tripOut(t, c.now)
	out.Imported = imported
	answer(c.w, http.StatusCreated, out)
}

func (a *api) getTrip(c *call) {
	if t, ok := a.trip(c); ok {
		answer(c.w, http.StatusOK, a.tripOut(t, c.now))
	}
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
	Status  gas.Status    `json:"status"`
	Counts  roster.Counts `json:"counts"`
}

// listTrips lists the shop's trips departing in [from, to): by default from a
// day ago on.
func (a *api) listTrips(c *call) {
	var f faults
	from := queryTime(c, "from", c.now.AddDate(0, 0, -1), &f)
	to := queryTime(c, "to", c.now.AddDate(2, 0, 0), &f)
	f.knownQuery(c.URL.Query(), "from", "to")
	if len(f.list) == 0 && !from.Before(to) {
		f.add("?to", "is not after from")
	}
	if err := f.err(); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	ids, err := a.Trips.List(c.Context(), c.shop.ID, from, to)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
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
		b := t.Board(c.now)
		out.Trips = append(out.Trips, summaryJSON{t.ID, t.Name, t.Zone, t.Departs, b.Status, b.Counts})
	}
	answer(c.w, http.StatusOK, out)
}

// knownQuery refuses parameters that nobody reads.
func (f *faults) knownQuery(query url.Values, known ...string) {
	for _, name := range slices.Sorted(maps.Keys(query)) {
		if !slices.Contains(known, name) {
			f.add("?"+name, "is not a known parameter: accepted are %s", strings.Join(known, ", "))
		}
	}
}

// queryTime is an RFC 3339 time, or a date, which stands for its first instant
// in UTC.
func queryTime(c *call, name string, otherwise time.Time, f *faults) time.Time {
	s := c.URL.Query().Get(name)
	if s == "" {
		return otherwise
	}
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if t, err := time.Parse(layout, s); err == nil {
			return t
		}
	}
	f.add("?"+name, "is %s: accepted is 2027-05-15 or 2027-05-15T08:30:00Z", quoted(s))
	return otherwise
}

// patchTrip changes name, departure, dives and policy by a merge patch; the
// door checks everybody again and tells those whose verdict changed.
func (a *api) patchTrip(c *call) {
	var f faults
	patch, ok := c.readDocument(&f, false, typeMerge, typeJSON)
	if !ok {
		return
	}
	o := objectAt("", patch, &f)
	o.known = []string{"name", "departs_at", "dives", "policy"}
	o.close()
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		found := f
		change := readTripChange(t, o.fields, c.now, &found)
		return change, found.err()
	})
	if ok {
		answer(c.w, http.StatusOK, a.tripOut(t, c.now))
	}
}

// readTripChange reads the trip as it would be and keeps what differs.
func readTripChange(t *roster.Trip, patch map[string]any, now time.Time, f *faults) conversation.Change {
	before := document(struct {
		Name    string     `json:"name"`
		Departs time.Time  `json:"departs_at"`
		Dives   []diveJSON `json:"dives"`
		Policy  gas.Policy `json:"policy"`
	}{t.Name, t.Departs, divesOut(t.Dives), t.Policy}, f)
	o := objectAt("", merge(before, patch), f)
	after := *t // shares what a patch can't change
	var change conversation.Change
	if after.Name = o.needText("name"); after.Name != t.Name {
		change.Name = &after.Name
	}
	if _, given := patch["departs_at"]; given {
		if after.Departs = readDeparture(o, now); !after.Departs.Equal(t.Departs) {
			change.Departs = &after.Departs
		}
	}
	if _, given := patch["dives"]; given {
		after.Dives = readDives(o, t.Units)
		change.Dives = changedDives(t, after.Dives, f)
	}
	if after.Policy = readPolicy(o); after.Policy != t.Policy {
		change.Policy = &after.Policy // what it loosens after the first reading waits for a leader
	}
	f.judge(after.Validate(), "")
	return change
}

// changedDives is nil when nothing differs. A dive that cylinders are booked
// for can't be dropped.
func changedDives(t *roster.Trip, dives []roster.Dive, f *faults) []roster.Dive {
	differs := len(dives) != len(t.Dives)
	for i := range dives {
		if i < len(t.Dives) {
			differs = differs || !sameDive(dives[i], t.Dives[i])
		}
	}
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if c.Dive > len(dives) {
				f.add("/dives", "has %d dives, but cylinder %s of %s is for dive %d: change that first", len(dives), c.ID, p.ID, c.Dive)
			}
		}
	}
	if !differs {
		return nil
	}
	return dives
}

// sameDive compares the plans.
func sameDive(a, b roster.Dive) bool {
	return a.Site == b.Site && a.Depth == b.Depth && a.Bottom == b.Bottom && a.Bottomless == b.Bottomless &&
		a.Minutes == b.Minutes && a.Water == b.Water && a.Altitude == b.Altitude && a.Interval == b.Interval
}
