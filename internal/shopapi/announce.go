package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/conversation"
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

// announceEnds is how long before departure the evening-before message makes
// sense; see package reminders.
const announceEnds = 2 * time.Hour

// announce sends the evening-before message now.
func (a *api) announce(c *call) {
	var f faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	objectAt("", v, &f).close()
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		if !c.now.Before(t.Departs.Add(-announceEnds)) {
			return conversation.Change{}, &Refusal{Status: http.StatusConflict,
				Detail: "The evening-before message is of no use within two hours of departure or after it. To write to everybody: POST .../messages."}
		}
		return conversation.Change{Announce: true}, f.err()
	})
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
