package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// announcedJSON says whom the evening-before message reaches: those it doesn't
// need their links handed out again.
type announcedJSON struct {
	At          time.Time    `json:"announced_at"`
	Reached     int          `json:"reached"` // delivered or on its way
	Divers      []heardJSON  `json:"divers"`  // leaders too
	NotJoined   []personJSON `json:"not_joined"`
	Unreachable []personJSON `json:"unreachable"`
}

// saysNothing reads a body that may be missing and holds no field; it answers what
// is refused.
func (a *api) saysNothing(c *call) bool {
	var f booking.Faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return false
	}
	booking.ObjectAt("", v, &f).Close()
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return false
	}
	return true
}

// announce sends the evening-before message now.
func (a *api) announce(c *call) {
	if !a.saysNothing(c) {
		return
	}
	t, ok := a.apply(c, booking.Announce(c.now))
	if !ok {
		return
	}
	heard, err := a.announcements(c.Context(), t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusOK, a.announcedOut(t, heard, c.now))
}

func (a *api) announcedOut(t *roster.Trip, heard []heardJSON, now time.Time) announcedJSON {
	out := announcedJSON{At: t.Announced, Divers: heard, NotJoined: []personJSON{}, Unreachable: []personJSON{}}
	for _, h := range heard {
		switch h.State {
		case arrivedNotJoined:
			out.NotJoined = append(out.NotJoined, a.personOut(t, t.Person(h.ID), now))
		case arrivedUnreachable:
			out.Unreachable = append(out.Unreachable, a.personOut(t, t.Person(h.ID), now))
		case arrivedDelivered, arrivedSending:
			out.Reached++
		}
	}
	return out
}

// ready notes that the cylinders can be analysed from now on. Who still owes a
// reading is told, unless it is quiet hours.
func (a *api) ready(c *call) {
	if !a.saysNothing(c) {
		return
	}
	if t, ok := a.apply(c, booking.Ready(c.now)); ok {
		answer(c.w, http.StatusOK, a.tripOut(t, c.now))
	}
}

// calledOffJSON is a trip that was called off, and who could be told of it: the others
// are for the shop to call.
type calledOffJSON struct {
	tripJSON
	Told    int           `json:"told"`
	NotTold []notToldJSON `json:"not_told"`
}

type notToldJSON struct {
	ID   roster.PersonID `json:"id"`
	Name string          `json:"name"`
}

func (a *api) calledOffOut(t *roster.Trip, now time.Time) calledOffJSON {
	out := calledOffJSON{tripJSON: a.tripOut(t, now), NotTold: []notToldJSON{}}
	for _, p := range t.People {
		switch {
		case p.Erased || !p.Left.IsZero():
		case p.Joined.IsZero() || p.Unreachable != "":
			out.NotTold = append(out.NotTold, notToldJSON{p.ID, p.Name})
		default:
			out.Told++
		}
	}
	return out
}

// callOff calls a trip off.
func (a *api) callOff(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	reason := o.NeedText("reason")
	o.Close()
	if t, ok := a.apply(c, c.ifMatch(booking.CallOff(reason, f))); ok {
		c.w.Header().Set("ETag", tagOf(t))
		answer(c.w, http.StatusOK, a.calledOffOut(t, c.now))
	}
}

// openInviteJSON is the one link for a whole group.
type openInviteJSON struct {
	URL string `json:"url"`
}

// openInvite opens the open invite; again, with a new link.
func (a *api) openInvite(c *call) {
	if !a.saysNothing(c) {
		return
	}
	if t, ok := a.apply(c, booking.OpenInvite(true)); ok {
		answer(c.w, http.StatusCreated, a.openLink(t))
	}
}

func (a *api) openLink(t *roster.Trip) openInviteJSON {
	links := delivery.Linker{Invites: a.Invites, PublicURL: a.PublicURL}
	return openInviteJSON{links.Open(t.ID, t.Gate.Generation)}
}

// shutInviteJSON says how many still wait at the open invite that was shut.
type shutInviteJSON struct {
	Open    bool `json:"open"`
	Waiting int  `json:"waiting"`
}

// shutInvite shuts it.
func (a *api) shutInvite(c *call) {
	if t, ok := a.apply(c, booking.OpenInvite(false)); ok {
		answer(c.w, http.StatusOK, shutInviteJSON{t.Gate.Open, len(t.Gate.Waiting)})
	}
}
