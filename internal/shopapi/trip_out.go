package shopapi

import (
	"encoding/json"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// tripJSON is a trip as the shop gets it. What the shop sends is the same
// without ids, checks, invites and the times at which things happened; depths
// are plain numbers in the trip's units.
type tripJSON struct {
	ID         roster.TripID `json:"id"`
	Name       string        `json:"name"`
	Zone       string        `json:"time_zone"`
	Departs    time.Time     `json:"departs_at"`
	Units      gas.Unit      `json:"units"`
	Dives      []diveJSON    `json:"dives"`
	Analysers  []string      `json:"analysers"`
	Policy     gas.Policy    `json:"policy"` // its JSON names are those of the interface
	Leaders    []personJSON  `json:"leaders"`
	Divers     []personJSON  `json:"divers"`
	FillLocked time.Time     `json:"fill_locked_at,omitzero"`
	Announced  time.Time     `json:"announced_at,omitzero"`
	BoatOpen   time.Time     `json:"boat_check_at,omitzero"`
	SignedOff  []signedJSON  `json:"signed_off,omitempty"`
	// PolicyWanted is a looser policy that waits for a leader's consent.
	PolicyWanted *gas.Policy `json:"policy_wanted,omitempty"`
	// Imported is how a trip that came as CSV was read; only in that answer.
	Imported *Imported `json:"imported,omitempty"`
}

type diveJSON struct {
	Site     string    `json:"site"`
	Depth    float64   `json:"depth"`
	Bottom   any       `json:"bottom,omitempty"` // a number or "none"
	Minutes  float64   `json:"minutes,omitempty"`
	Water    gas.Water `json:"water"`
	Altitude float64   `json:"altitude"`
	Interval float64   `json:"interval,omitempty"`
}

// bookingJSON is what a shop says of a person when it books them.
type bookingJSON struct {
	Name       string   `json:"name"`
	Card       gas.Card `json:"card"`
	DepthLimit float64  `json:"depth_limit,omitempty"`
	Team       string   `json:"team,omitempty"`
	Language   string   `json:"language,omitempty"`
	Units      string   `json:"units,omitempty"`
}

func bookingOut(p *roster.Person) bookingJSON {
	b := bookingJSON{Name: p.Name, Card: p.Card, DepthLimit: p.DepthLimit.Value, Team: p.Team, Language: p.Language, Units: p.Units}
	if b.Card == "" {
		b.Card = gas.CardUnseen
	}
	return b
}

type personJSON struct {
	ID roster.PersonID `json:"id"`
	bookingJSON
	Cylinders   []cylinderJSON `json:"cylinders"`
	Joined      time.Time      `json:"joined_at,omitzero"`
	Left        time.Time      `json:"left_at,omitzero"`
	Erased      bool           `json:"erased,omitempty"`
	Unreachable string         `json:"unreachable,omitempty"`
	Invite      *inviteJSON    `json:"invite,omitempty"` // none once left or erased
}

// orderJSON is what was ordered for a cylinder, and when it was filled.
type orderJSON struct {
	ID     roster.CylinderID `json:"id"`
	Label  string            `json:"label,omitempty"`
	Asked  gas.Percent       `json:"asked,omitzero"`
	Dive   int               `json:"dive"`
	Size   string            `json:"size,omitempty"`
	Owner  string            `json:"owner,omitempty"`
	Filled time.Time         `json:"filled_at,omitzero"`
}

type cylinderJSON struct {
	orderJSON
	Readings int        `json:"readings"` // taken and not undone, void ones included
	Check    *checkJSON `json:"check,omitempty"`
}

type inviteJSON struct {
	Code     string `json:"code"`
	Chat     string `json:"chat_url"`
	Telegram string `json:"telegram_url,omitempty"` // none while the Telegram channel is off
}

type signedJSON struct {
	Dive     int             `json:"dive"`
	By       roster.PersonID `json:"by"`
	At       time.Time       `json:"at"`
	Reopened time.Time       `json:"reopened_at,omitzero"`
}

// Trip is a trip as shops see it.
type Trip = tripJSON

// View is a trip as of now, with invites and the request check of every
// cylinder. It needs Renderer, Invites and PublicURL only.
func (d Deps) View(t *roster.Trip, now time.Time) Trip { return (&api{Deps: d}).tripOut(t, now) }

// tripOut writes a trip as of now, with the request check of every cylinder.
func (a *api) tripOut(t *roster.Trip, now time.Time) tripJSON {
	out := tripJSON{ID: t.ID, Name: t.Name, Zone: t.Zone, Departs: t.Departs, Units: t.Units, Analysers: []string{},
		Policy: t.Policy, PolicyWanted: t.PolicyWanted, Leaders: []personJSON{}, Divers: []personJSON{}, Dives: divesOut(t.Dives),
		FillLocked: t.FillLocked, Announced: t.Announced, BoatOpen: t.BoatOpen}
	for _, an := range t.Analysers {
		out.Analysers = append(out.Analysers, an.Name)
	}
	for _, p := range t.People {
		one := a.personOut(t, p, now)
		if p.Leader {
			out.Leaders = append(out.Leaders, one)
		} else {
			out.Divers = append(out.Divers, one)
		}
	}
	for _, s := range t.SignOffs {
		one := signedJSON{Dive: s.Dive, By: s.By, At: s.At}
		if s.Reopened != nil {
			one.Reopened = s.Reopened.At
		}
		out.SignedOff = append(out.SignedOff, one)
	}
	return out
}

func divesOut(dives []roster.Dive) []diveJSON {
	out := make([]diveJSON, len(dives))
	for i, d := range dives {
		out[i] = diveJSON{Site: d.Site, Depth: d.Depth.Value, Minutes: d.Minutes, Water: d.Water,
			Altitude: d.Altitude, Interval: d.Interval}
		switch {
		case d.Bottomless:
			out[i].Bottom = "none"
		case d.Bottom.Known():
			out[i].Bottom = d.Bottom.Value
		}
	}
	return out
}

func (a *api) personOut(t *roster.Trip, p *roster.Person, now time.Time) personJSON {
	out := personJSON{ID: p.ID, bookingJSON: bookingOut(p), Joined: p.Joined, Left: p.Left, Erased: p.Erased,
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
	out := cylinderJSON{orderJSON: orderJSON{ID: c.ID, Label: c.Label, Asked: c.Asked, Dive: c.Dive, Size: c.Size, Owner: c.Owner}}
	if n := len(c.Fills); n > 0 {
		out.Filled = c.Fills[n-1].At
	}
	for _, r := range c.Readings {
		if r.Undone.IsZero() {
			out.Readings++
		}
	}
	if c.Asked > 0 {
		out.Check = a.requestCheck(t, p, c, now)
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

// document turns an answer into the plain document that a merge patch changes.
func document(v any, f *faults) map[string]any {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // our own types
	}
	parsed, err := parse(newReader(b), f)
	if err != nil {
		panic(err)
	}
	return parsed.(map[string]any)
}
