package shopapi

import (
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// tripJSON is a trip as the shop gets it. What the shop sends is the same
// without ids, checks, invites and the times at which things happened; depths
// are plain numbers in the trip's units.
type tripJSON struct {
	ID      roster.TripID `json:"id,omitempty"` // none of a trip that is not stored
	Ref     string        `json:"external_ref,omitempty"`
	Name    string        `json:"name"`
	Zone    string        `json:"time_zone"`
	Departs time.Time     `json:"departs_at"`
	// from when they can be analysed, as planned, said or usual
	Ready      time.Time      `json:"cylinders_ready_at"`
	First      float64        `json:"first_dive_after,omitempty"` // minutes from the departure
	Units      gas.Unit       `json:"units"`
	Dives      []diveOutJSON  `json:"dives"`
	Analysers  []string       `json:"analysers"`
	Policy     booking.Policy `json:"policy"`
	Leaders    []personJSON   `json:"leaders"`
	Crew       []personJSON   `json:"crew"`
	Divers     []personJSON   `json:"divers"`
	FillLocked time.Time      `json:"fill_locked_at,omitzero"`
	Announced  time.Time      `json:"announced_at,omitzero"`
	CalledOff  *outJSON       `json:"called_off,omitempty"`
	// OpenInvite is the one link for a whole group, while it is open.
	OpenInvite *openInviteJSON `json:"open_invite,omitempty"`
	// Wanted is what the shop changed after the first reading and what waits for
	// a leader's consent.
	Wanted *wantedJSON `json:"wanted,omitempty"`
	// Imported is how a trip that came as CSV was read; only in that answer.
	Imported *booking.Imported `json:"imported,omitempty"`
}

// diveOutJSON is a dive with how far it has come.
type diveOutJSON struct {
	booking.DivePlan
	Boat   time.Time `json:"boat_check_at,omitzero"` // when its boat check was opened last
	Signed bool      `json:"signed"`                 // a signature under it stands
	Dived  bool      `json:"dived"`                  // a leader said so
}

// wantedJSON has the fields that wait, as they would be.
type wantedJSON struct {
	Policy  *booking.Policy  `json:"policy,omitempty"`
	Departs time.Time        `json:"departs_at,omitzero"`
	First   *float64         `json:"first_dive_after,omitempty"`
	Dives   []wantedDiveJSON `json:"dives,omitempty"`
}

type wantedDiveJSON struct {
	Dive int `json:"dive"`
	booking.DivePlan
}

func wantedOut(t *roster.Trip) *wantedJSON {
	if !t.Wanted.Any() {
		return nil
	}
	var out wantedJSON
	if p := t.Wanted.Policy; p != nil {
		policy := booking.PolicyOf(*p, t.Units)
		out.Policy = &policy
	}
	if s := t.Wanted.Starts; s != nil {
		out.Departs, out.First = s.Departs, &s.FirstDiveAfter
	}
	for _, d := range t.Wanted.Dives {
		out.Dives = append(out.Dives, wantedDiveJSON{d.Dive, booking.DiveOf(d.Plan)})
	}
	return &out
}

type personJSON struct {
	ID roster.PersonID `json:"id"`
	booking.Person
	Cylinders   []cylinderJSON `json:"cylinders"`
	Joined      time.Time      `json:"joined_at,omitzero"`
	Left        time.Time      `json:"left_at,omitzero"`
	Erased      bool           `json:"erased,omitempty"`
	Unreachable string         `json:"unreachable,omitempty"`
	Invite      *inviteJSON    `json:"invite,omitempty"` // none once left or erased
}

type cylinderJSON struct {
	booking.Order
	Readings int            `json:"readings"` // taken and not undone, void ones included
	Check    *booking.Check `json:"check,omitempty"`
}

type inviteJSON struct {
	Code     string `json:"code"`
	Chat     string `json:"chat_url"`
	Telegram string `json:"telegram_url,omitempty"` // none while the Telegram channel is off
}

// Trip is a trip as shops see it.
type Trip = tripJSON

// View is a trip as of now, with invites and the request check of every
// cylinder. It needs Renderer, Invites and PublicURL only.
func (d Deps) View(t *roster.Trip, now time.Time) Trip { return (&api{Deps: d}).tripOut(t, now) }

// Preview is View of a trip that is not stored: without an id and invites.
func (d Deps) Preview(t *roster.Trip, now time.Time) Trip {
	out := d.View(t, now).withoutInvites()
	out.ID = ""
	return out
}

// tripOut writes a trip as of now, with the request check of every cylinder.
func (a *api) tripOut(t *roster.Trip, now time.Time) tripJSON {
	out := tripJSON{ID: t.ID, Ref: t.Ref, Name: t.Name, Zone: t.Zone, Departs: t.Departs, Ready: t.ReadyAt().UTC(),
		First: t.FirstDiveAfter, Units: t.Units,
		Analysers: []string{}, Policy: booking.PolicyOf(t.Policy, t.Units), Wanted: wantedOut(t), Dives: []diveOutJSON{},
		Leaders: []personJSON{}, Crew: []personJSON{}, Divers: []personJSON{}, FillLocked: t.FillLocked,
		Announced: t.Announced}
	if o := t.CalledOff; o != nil {
		out.CalledOff = &outJSON{o.By, o.At, o.Reason}
	}
	if t.GateOpen(now) {
		open := a.openLink(t)
		out.OpenInvite = &open
	}
	for _, an := range t.Analysers {
		out.Analysers = append(out.Analysers, an.Name)
	}
	for i, d := range t.Dives {
		one := diveOutJSON{DivePlan: booking.DiveOf(d), Signed: t.Signed(i+1, now), Dived: t.WasDived(i + 1)}
		if n := len(d.Boat); n > 0 {
			one.Boat = d.Boat[n-1].At
		}
		out.Dives = append(out.Dives, one)
	}
	for _, p := range t.People {
		one := a.personOut(t, p, now)
		switch booking.RoleOf(p) {
		case booking.RoleLeader:
			out.Leaders = append(out.Leaders, one)
		case booking.RoleCrew:
			out.Crew = append(out.Crew, one)
		default:
			out.Divers = append(out.Divers, one)
		}
	}
	return out
}

func (a *api) personOut(t *roster.Trip, p *roster.Person, now time.Time) personJSON {
	out := personJSON{ID: p.ID, Person: booking.PersonOf(p), Joined: p.Joined, Left: p.Left, Erased: p.Erased,
		Unreachable: p.Unreachable, Cylinders: []cylinderJSON{}}
	for _, c := range p.InUse() {
		out.Cylinders = append(out.Cylinders, a.cylinderOut(t, p, c, now))
	}
	if p.Left.IsZero() && !p.Erased {
		out.Invite = a.invite(t.ID, p)
	}
	return out
}

func (a *api) cylinderOut(t *roster.Trip, p *roster.Person, c *roster.Cylinder, now time.Time) cylinderJSON {
	out := cylinderJSON{Order: booking.OrderOf(c)}
	for _, r := range c.Readings {
		if r.Undone.IsZero() {
			out.Readings++
		}
	}
	if c.Asked > 0 {
		out.Check = booking.CheckRequest(t, p, c, now, a.english)
	}
	return out
}

// invite is how a person gets in; a code can be shown again, since it is
// computed and not stored.
func (a *api) invite(trip roster.TripID, p *roster.Person) *inviteJSON {
	links := delivery.Linker{Invites: a.Invites, PublicURL: a.PublicURL, BotName: a.telegramName}
	return &inviteJSON{Code: a.Invites.Code(trip, p.ID, p.Generation), Chat: links.Page(trip, p.ID, p.Generation),
		Telegram: links.Chat(trip, p.ID, p.Generation)}
}

// withoutInvites is the trip as it would be: nobody can come in yet.
func (t tripJSON) withoutInvites() tripJSON {
	t.OpenInvite = nil
	for _, list := range [][]personJSON{t.Leaders, t.Crew, t.Divers} {
		for i := range list {
			list[i].Invite = nil
		}
	}
	return t
}
