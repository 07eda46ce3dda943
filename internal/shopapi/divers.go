package shopapi

import (
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// addDiver books one more diver.
func (a *api) addDiver(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	var name string
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		found := f
		p := booking.ReadBooked(t, v, c.now, &found)
		name = p.Name
		return conversation.Change{Add: []*roster.Person{p}}, found.Err()
	})
	if !ok {
		return
	}
	if name == "" { // the same request was stored before
		name = booking.ObjectAt("", v, &f).Text("name")
	}
	for _, p := range slices.Backward(t.People) {
		if p.Name == name {
			c.w.Header().Set("Location", "/v1/trips/"+string(t.ID)+"/divers/"+string(p.ID))
			answer(c.w, http.StatusCreated, a.personOut(t, p, c.now))
			return
		}
	}
	refuse(c.w, http.StatusConflict, "This diver was booked by an earlier request and has been changed since.")
}

// diver is the person of the path.
func (c *call) diver(t *roster.Trip) (*roster.Person, error) {
	p := t.Person(roster.PersonID(c.PathValue("diver")))
	if p == nil || p.Erased {
		return nil, roster.ErrNotFound
	}
	return p, nil
}

// patchDiver changes a booked diver or leader by a merge patch. Cylinders that
// are named by id keep their readings.
func (a *api) patchDiver(c *call) {
	var f booking.Faults
	patch, ok := c.readDocument(&f, false, typeMerge, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", patch, &f)
	var before []*roster.Cylinder
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		p, err := c.diver(t)
		if err != nil {
			return conversation.Change{}, err
		}
		before = copies(p.InUse())
		found := f
		change := booking.ReadPersonChange(t, p, o.Fields, c.now, &found)
		return conversation.Change{Update: []conversation.PersonChange{change}}, found.Err()
	})
	if !ok {
		return
	}
	p, err := c.diver(t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusOK, changedPersonJSON{a.personOut(t, p, c.now), changedCylinders(before, t, p, c.now)})
}

// removedJSON says what became of a removed diver: nobody makes a board green
// by vanishing.
type removedJSON struct {
	ID       roster.PersonID `json:"id"`
	Left     time.Time       `json:"left_at,omitzero"`
	OnBoard  bool            `json:"on_board"`      // not cleared (left), and in the way, until a leader sits them out
	Readings int             `json:"readings_kept"` // stay in the record
}

func (a *api) removeDiver(c *call) {
	t, ok := a.apply(c, booking.Remove(roster.PersonID(c.PathValue("diver"))))
	if !ok {
		return
	}
	out := removedJSON{ID: roster.PersonID(c.PathValue("diver"))}
	if p := t.Person(out.ID); p != nil {
		out.Left, out.OnBoard = p.Left, p.Dives()
		for _, cyl := range p.Cylinders {
			out.Readings += len(cyl.Readings)
		}
	}
	answer(c.w, http.StatusOK, out)
}
