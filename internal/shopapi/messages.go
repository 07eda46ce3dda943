package shopapi

import (
	"math"
	"net/http"
	"strconv"
	"time"
	"unicode/utf8"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// A shop may write this much to everybody on a trip: what is said too often is
// not read, and the bot's own words about gas have to be.
const (
	longestMessage = 500 // characters
	writePerPeriod = 6   // messages to one trip
	writePeriod    = time.Hour
)

// writtenJSON is a message of the shop and whom it reaches.
type writtenJSON struct {
	At     time.Time   `json:"at"`
	Text   string      `json:"text"` // as it is sent, in one line
	Divers []heardJSON `json:"divers"`
}

// write sends a shop's own words to everybody on the trip, as the shop's.
func (a *api) write(c *call) {
	var f faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	o := objectAt("", v, &f)
	text := o.needText("text")
	if n := utf8.RuneCountInString(text); n > longestMessage {
		o.fault("text", "has %d characters: at most %d are accepted", n, longestMessage)
	}
	o.close()
	if _, ok := a.trip(c); !ok {
		return // before its budget is asked
	}
	if err := f.err(); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	if !a.mayWrite(c) {
		return
	}
	t, ok := a.apply(c, func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Broadcast: text}, nil
	})
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

// mayWrite takes one message from the trip's budget. A place is free again an
// hour after it was taken.
func (a *api) mayWrite(c *call) bool {
	bucket := "write:" + c.PathValue("trip")
	wait, slot, err := a.Limiter.Take(c.Context(), bucket, writePerPeriod, writePeriod, c.now)
	if err == nil && wait == 0 {
		err = a.Limiter.Release(c.Context(), bucket, slot, writePeriod, c.now)
	}
	switch {
	case err != nil:
		a.failed(c.w, c.Request, err)
	case wait > 0:
		c.w.Header().Set("Retry-After", strconv.Itoa(max(1, int(math.Ceil(wait.Seconds())))))
		refuse(c.w, http.StatusTooManyRequests, "A trip gets 6 messages an hour, so that they are read. Retry-After says when to go on; call the leader if it is urgent.")
	default:
		return true
	}
	return false
}
