package roster

import (
	"gasmuster/internal/gas"
)

// Board is what a trip's leader needs to see before the briefing: the verdict
// for the group, the group's limits said once, and a line for each person.
// Its zero value is "no reading".
type Board struct {
	Status gas.Status    `json:"status"` // the worst of all active people; no reading when there is none
	Dive   int           `json:"dive"`   // the current dive, from 1; 0 when every dive is signed off
	Counts Counts        `json:"counts"`
	People []PersonBoard `json:"people"`
	Group  []GroupLimit  `json:"group,omitempty"`
	Teams  []TeamBoard   `json:"teams,omitempty"`
	Policy []string      `json:"policy,omitempty"` // names of policy fields that are not the default
}

// Counts are the active people by status.
type Counts struct {
	Active    int `json:"active"`
	Go        int `json:"go"`
	Limits    int `json:"limits"`
	NoGo      int `json:"no_go"`
	NoReading int `json:"no_reading"`
	Out       int `json:"out"`
}

// PersonBoard is one person's line. Status has the group's shared limits
// lifted; Own is the verdict by itself, as the person is told it.
type PersonBoard struct {
	Person  PersonID    `json:"person"`
	Active  bool        `json:"active"` // dives, and was not sat out
	Left    bool        `json:"left,omitempty"`
	Out     *Out        `json:"out,omitempty"`
	Status  gas.Status  `json:"status"`
	Own     gas.Status  `json:"own"`
	Verdict gas.Verdict `json:"verdict"`
	Owes    []Owed      `json:"owes,omitempty"`
}

// Owed is one thing a person still owes for one cylinder.
type Owed struct {
	Person   PersonID   `json:"person"`
	Cylinder CylinderID `json:"cylinder,omitempty"`
	Why      string     `json:"why"` // the rule that asks for it: "no-reading", "repeat", "stale", "card", ...; or one of the two below
}

// What may be owed that is no rule: the answer to the boat question; a cylinder
// for the dives that are left.
const (
	OwesBoatAnswer = "boat-question"
	OwesCylinder   = "cylinder"
)

// Analysis tells whether an analyser settles it: not a card that nobody has
// seen, an answer, or a cylinder that is not there.
func (o Owed) Analysis() bool {
	switch o.Why {
	case string(gas.RuleCard), string(gas.RuleSameCylinder), OwesBoatAnswer, OwesCylinder:
		return false
	default:
		return true
	}
}

// Reminds tells whether the person themselves can settle it, with an analyser or
// an answer, so that reminding them makes sense.
func (o Owed) Reminds() bool { return o.Analysis() || o.Why == OwesBoatAnswer }

// GroupLimit is a limit that everybody active shares on one dive.
type GroupLimit struct {
	Dive       int       `json:"dive"`
	Rule       gas.Rule  `json:"rule"`
	MaxDepth   gas.Depth `json:"max_depth,omitzero"`
	MaxMinutes float64   `json:"max_minutes,omitzero"`
}

// TeamBoard is a team's depth and time on one dive and who sets each.
type TeamBoard struct {
	Team       string    `json:"team"`
	Dive       int       `json:"dive"`
	MaxDepth   gas.Depth `json:"max_depth,omitzero"`
	DepthBy    PersonID  `json:"depth_by,omitempty"`
	MaxMinutes float64   `json:"max_minutes,omitzero"`
	TimeBy     PersonID  `json:"time_by,omitempty"`
}
