package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/roster"
)

// writtenJSON is a message of the shop and whom it reaches.
type writtenJSON struct {
	At     time.Time   `json:"at"`
	Text   string      `json:"text"` // as it is sent, in one line
	Divers []heardJSON `json:"divers"`
}

// write sends a shop's own words to everybody on the trip, as the shop's.
func (a *api) write(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := booking.ObjectAt("", v, &f)
	text := o.NeedText("text")
	o.Close()
	if _, ok := a.trip(c); !ok {
		return // before its budget is asked
	}
	change := booking.Write(text, f)
	if _, err := change(nil); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	if err := booking.MayWrite(c.Context(), a.Limiter, roster.TripID(c.PathValue("trip")), c.now); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	t, ok := a.apply(c, change)
	if !ok {
		return
	}
	out := writtenJSON{At: c.now, Text: text, Divers: []heardJSON{}}
	for _, p := range t.People {
		if p.Erased || !p.Left.IsZero() {
			continue
		}
		one := a.heard(t, p)
		if one.State == arrivedDelivered {
			one.State, one.At = arrivedSending, c.now
		}
		out.Divers = append(out.Divers, one)
	}
	answer(c.w, http.StatusCreated, out)
}
