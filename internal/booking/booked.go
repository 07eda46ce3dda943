package booking

import (
	"bytes"
	"encoding/json"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// DivePlan is a planned dive; depths are plain numbers in the trip's units,
// altitude is in metres, minutes and interval are minutes.
type DivePlan struct {
	Site     string    `json:"site"`
	Depth    float64   `json:"depth"`
	Bottom   any       `json:"bottom,omitempty"` // a number or "none"
	Minutes  float64   `json:"minutes"`
	Water    gas.Water `json:"water"`
	Altitude float64   `json:"altitude"`
	Interval float64   `json:"interval,omitempty"`
}

// Policy is a policy by the names of the interface; its deepest depth is a
// plain number in the trip's units.
type Policy struct {
	gas.Policy
	Deepest float64 `json:"deepest"`
}

// PolicyOf is a policy with its deepest depth in units u.
func PolicyOf(p gas.Policy, u gas.Unit) Policy {
	return Policy{p, p.Deepest.NamedIn(u).Value}
}

// Person is what a shop says of a person when it books them.
type Person struct {
	Name       string   `json:"name"`
	Card       gas.Card `json:"card"`
	DepthLimit float64  `json:"depth_limit,omitempty"`
	Team       string   `json:"team,omitempty"`
	Language   string   `json:"language,omitempty"`
	Units      string   `json:"units,omitempty"`
	Outside    string   `json:"outside,omitempty"` // the whole trip: why this check does not cover them
}

// PersonOf is what is booked of a person now.
func PersonOf(p *roster.Person) Person {
	b := Person{Name: p.Name, Card: p.Card, DepthLimit: p.DepthLimit.Value, Team: p.Team, Language: p.Language,
		Units: p.Units}
	if b.Card == "" {
		b.Card = gas.CardUnseen
	}
	for _, o := range p.Outsides {
		if o.Dive == 0 {
			b.Outside = o.Reason
		}
	}
	return b
}

// Order is what was ordered for a cylinder, and when it was filled.
type Order struct {
	ID     roster.CylinderID `json:"id"`
	Label  string            `json:"label,omitempty"`
	Asked  gas.Percent       `json:"asked,omitzero"`
	Dive   int               `json:"dive"`
	Size   string            `json:"size,omitempty"`
	Owner  string            `json:"owner,omitempty"`
	Filled time.Time         `json:"filled_at,omitzero"`
}

func divesOut(dives []roster.Dive) []DivePlan {
	out := make([]DivePlan, len(dives))
	for i, d := range dives {
		out[i] = DiveOf(d)
	}
	return out
}

// DiveOf is the plan of a dive.
func DiveOf(d roster.Dive) DivePlan {
	out := DivePlan{Site: d.Site, Depth: d.Depth.Value, Minutes: d.Minutes, Water: d.Water, Altitude: d.Altitude,
		Interval: d.Interval}
	switch {
	case d.Bottomless:
		out.Bottom = "none"
	case d.Bottom.Known():
		out.Bottom = d.Bottom.Value
	}
	return out
}

// document turns an answer into the plain document that a merge patch changes.
func document(v any, f *Faults) map[string]any {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // our own types
	}
	parsed, err := Parse(bytes.NewReader(b), f)
	if err != nil {
		panic(err)
	}
	return parsed.(map[string]any)
}

// OrderOf is the order of a cylinder.
func OrderOf(c *roster.Cylinder) Order {
	out := Order{ID: c.ID, Label: c.Label, Asked: c.Asked, Dive: c.Dive, Size: c.Size, Owner: c.Owner}
	if n := len(c.Fills); n > 0 {
		out.Filled = c.Fills[n-1].At
	}
	return out
}
