package roster

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// planPart is what was planned; see head.
type planPart struct {
	Name         string      `json:"name"`
	Zone         string      `json:"time_zone"`
	Departs      time.Time   `json:"departs_at"`
	Units        gas.Unit    `json:"units"`
	Dives        []Dive      `json:"dives"`
	Analysers    []Analyser  `json:"analysers,omitempty"`
	Air          Air         `json:"air,omitzero"`
	Policy       gas.Policy  `json:"policy"`
	PolicyWanted *gas.Policy `json:"policy_wanted,omitempty"`
	Evening      string      `json:"evening"`
	Quiet        string      `json:"quiet"`
}

func planOf(t *Trip) planPart {
	return planPart{t.Name, t.Zone, t.Departs, t.Units, t.Dives, t.Analysers, t.Air, t.Policy, t.PolicyWanted, t.Evening, t.Quiet}
}

func (p planPart) same(q planPart) bool {
	return p.Name == q.Name && p.Zone == q.Zone && p.Departs == q.Departs && p.Units == q.Units && p.Air == q.Air && p.Policy == q.Policy &&
		sameOr(p.PolicyWanted, q.PolicyWanted) && p.Evening == q.Evening && p.Quiet == q.Quiet &&
		sameListFunc(p.Dives, q.Dives, sameDives) && sameList(p.Analysers, q.Analysers)
}

func (p planPart) copied() planPart {
	p.Dives, p.Analysers, p.PolicyWanted = copiedDives(p.Dives), slices.Clone(p.Analysers), copyOr(p.PolicyWanted)
	return p
}

// coursePart is how far the day has come; see head.
type coursePart struct {
	FillLocked time.Time `json:"fill_locked,omitzero"`
	Announced  time.Time `json:"announced,omitzero"`
	BoatOpen   time.Time `json:"boat_open,omitzero"`
	SignOffs   []SignOff `json:"sign_offs,omitempty"`
}

func courseOf(t *Trip) coursePart {
	return coursePart{t.FillLocked, t.Announced, t.BoatOpen, t.SignOffs}
}

func (c coursePart) same(d coursePart) bool {
	return c.FillLocked == d.FillLocked && c.Announced == d.Announced && c.BoatOpen == d.BoatOpen &&
		sameListFunc(c.SignOffs, d.SignOffs, sameSignOffs)
}

func (c coursePart) copied() coursePart {
	c.SignOffs = copiedSignOffs(c.SignOffs)
	return c
}
