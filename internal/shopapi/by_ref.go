package shopapi

import (
	"errors"
	"net/http"
	"unicode/utf8"

	"gasmuster/internal/booking"
	"gasmuster/internal/roster"
)

// longestRef bounds a reference of the shop's own.
const longestRef = 80

// putByRef creates the trip of a reference, or brings it to the state of the
// document. Sent again it changes nothing.
func (a *api) putByRef(c *call) {
	ref := c.PathValue("ref")
	if n := utf8.RuneCountInString(ref); n > longestRef || roster.CleanName(ref) != ref {
		refuse(c.w, http.StatusUnprocessableEntity, "A reference of 1 to 80 visible characters is accepted.")
		return
	}
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	doc, isObject := v.(map[string]any)
	if isObject {
		if given, _ := doc["external_ref"].(string); given != "" && given != ref {
			f.Add("/external_ref", "is %s, but the address says %s", booking.Quoted(given), booking.Quoted(ref))
		}
		doc["external_ref"] = ref
	}
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	id := booking.TripOfRef(c.shop.ID, ref)
	_, err := a.office().Load(c.Context(), c.shop.ID, id)
	switch {
	case errors.Is(err, roster.ErrNotFound):
		draft, err := booking.ReadNew(v, c.shop.Policy, c.now)
		if err != nil {
			a.failed(c.w, c.Request, err)
			return
		}
		a.create(c, draft, nil)
	case err != nil:
		a.failed(c.w, c.Request, err)
	default:
		a.bringTo(c, id, doc)
	}
}

func (a *api) bringTo(c *call, id roster.TripID, doc map[string]any) {
	t, err := a.office().Apply(c.Context(), c.shop.ID, id, c.source(),
		c.ifMatch(booking.BringTo(doc, c.shop.Policy, c.now)))
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("ETag", tagOf(t))
	answer(c.w, http.StatusOK, a.tripOut(t, c.now))
}

// copyTrip books a trip again on another day.
func (a *api) copyTrip(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	departs, people := o.NeedText("departs_at"), o.Yes("people")
	o.Close()
	t, ok := a.trip(c)
	if !ok {
		return
	}
	err := f.Err()
	var draft *roster.Draft
	if err == nil {
		draft, _, err = booking.ReadTrip(booking.Copy(t, departs, people), typeJSON, c.shop.Policy, c.now)
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	a.create(c, draft, nil)
}
