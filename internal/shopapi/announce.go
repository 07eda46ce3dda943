package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// announcedJSON says whom the evening-before message will not reach: hand them
// their links again.
type announcedJSON struct {
	At          time.Time    `json:"announced_at"`
	Reached     int          `json:"reached"`
	NotJoined   []personJSON `json:"not_joined"`
	Unreachable []personJSON `json:"unreachable"`
}

// announce sends the evening-before message now.
func (a *api) announce(c *call) {
	var f faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	objectAt("", v, &f).close()
	t, ok := a.apply(c, func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Announce: true}, f.err()
	})
	if !ok {
		return
	}
	out := announcedJSON{At: t.Announced, NotJoined: []personJSON{}, Unreachable: []personJSON{}}
	for _, p := range t.People {
		switch {
		case !p.Left.IsZero() || p.Erased:
		case p.Joined.IsZero():
			out.NotJoined = append(out.NotJoined, a.personOut(t, p, c.now))
		case p.Unreachable != "":
			out.Unreachable = append(out.Unreachable, a.personOut(t, p, c.now))
		default:
			out.Reached++
		}
	}
	answer(c.w, http.StatusOK, out)
}
