package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// invitesJSON are the links of everybody on a trip, to be handed out again.
type invitesJSON struct {
	Trip    roster.TripID `json:"trip"`
	Invites []invitedJSON `json:"invites"`
}

// invitedJSON is one person's invite, none once they left.
type invitedJSON struct {
	ID     roster.PersonID `json:"id"`
	Name   string          `json:"name"`
	Leader bool            `json:"leader"`
	State  reach           `json:"state"`
	Reason string          `json:"reason,omitempty"` // of unreachable
	Joined time.Time       `json:"joined_at,omitzero"`
	Invite *inviteJSON     `json:"invite,omitempty"`
}

// reach is whether a person can be written to.
type reach string

const (
	reachJoined      reach = "joined"
	reachNotJoined   reach = "not-joined"
	reachUnreachable reach = "unreachable"
	reachLeft        reach = "left" // or was removed
)

func reachOf(p *roster.Person) reach {
	switch {
	case !p.Left.IsZero():
		return reachLeft
	case p.Joined.IsZero():
		return reachNotJoined
	case p.Unreachable != "":
		return reachUnreachable
	}
	return reachJoined
}

// invites shows the links again. They are computed, not stored, so that this
// gives the same ones until they are revoked.
func (a *api) invites(c *call) {
	t, ok := a.trip(c)
	if !ok {
		return
	}
	out := invitesJSON{Trip: t.ID, Invites: []invitedJSON{}}
	for _, p := range t.People {
		if !p.Erased {
			out.Invites = append(out.Invites, a.invited(t, p))
		}
	}
	answer(c.w, http.StatusOK, out)
}

func (a *api) invited(t *roster.Trip, p *roster.Person) invitedJSON {
	out := invitedJSON{ID: p.ID, Name: p.Name, Leader: p.Leader, State: reachOf(p), Reason: p.Unreachable,
		Joined: p.Joined}
	if out.State != reachLeft {
		out.Invite = a.invite(t.ID, p)
	}
	return out
}

// revokeInvite replaces a person's invite. The old link opens nothing any more,
// and the phone that used it is cut off until it comes with the new one.
func (a *api) revokeInvite(c *call) {
	var f booking.Faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	booking.ObjectAt("", v, &f).Close()
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		p, err := c.diver(t)
		if err != nil {
			return conversation.Change{}, err
		}
		return conversation.Change{Revoke: []roster.PersonID{p.ID}}, f.Err()
	})
	if !ok {
		return
	}
	p, err := c.diver(t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusOK, a.invited(t, p))
}
