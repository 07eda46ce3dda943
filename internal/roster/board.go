package roster

import (
	"gasmuster/internal/gas"
)

// Board is what a leader needs to see of one dive before the briefing: the
// clearance of everybody, the tightest of all and of each team. Its zero value
// is not cleared.
type Board struct {
	Dive   int         `json:"dive"`
	Status gas.Status  `json:"status"` // the worst of all active people; not cleared when there is none
	Dived  bool        `json:"dived,omitempty"`
	Counts Counts      `json:"counts"`
	People []Clearance `json:"people"`
	Group  Tightest    `json:"group"`
	Teams  []TeamBoard `json:"teams,omitempty"`
	Policy []string    `json:"policy,omitempty"` // names of policy fields that are not the default
}

// Counts are the people of a board by status. Who is out or outside is not active.
type Counts struct {
	Active     int `json:"active"`
	Go         int `json:"go"`
	Limits     int `json:"limits"`
	NoGo       int `json:"no_go"`
	NotCleared int `json:"not_cleared"`
	Outside    int `json:"outside"`
	Out        int `json:"out"`
}

// Clearance is one diver on one dive: the unit of every decision.
type Clearance struct {
	Person  PersonID   `json:"person"`
	Dive    int        `json:"dive"`
	Active  bool       `json:"active"`            // counts: a diver who is neither out nor outside
	Left    bool       `json:"left,omitempty"`    // left, forgot or was removed
	Out     *Out       `json:"out,omitempty"`     // sits it out
	Outside *Out       `json:"outside,omitempty"` // this check does not cover them; shown before Out
	Status  gas.Status `json:"status"`
	Needs   []Need     `json:"needs,omitempty"` // in the order of the constants

	// Max is the one depth that may be named to or about this diver, in whole
	// units of the trip, of whatever is known; zero when nothing is. Show it as
	// a permission only when the status is go or limits.
	Max gas.Depth `json:"max_depth,omitzero"`
	// MaxMinutes is the shorter of no-stop time and a leader's minutes, whole;
	// 0 is no limit or none known.
	MaxMinutes float64 `json:"max_minutes,omitzero"`

	Verdict gas.Verdict `json:"verdict"`
	Owes    []Owed      `json:"owes,omitempty"`
}

// State is the word of the interface: "outside", "out" or the status.
func (c *Clearance) State() string {
	switch {
	case c.Outside != nil:
		return "outside"
	case c.Out != nil:
		return "out"
	}
	return c.Status.String()
}

// Goes tells whether the diver may dive: active, and go or go with limits.
func (c *Clearance) Goes() bool {
	return c.Active && (c.Status == gas.Go || c.Status == gas.GoWithLimits)
}

// Need is what somebody still owes, a word of the interface.
type Need string

// The needs, in the order in which they are listed.
const (
	NeedReading    Need = "reading"
	NeedCard       Need = "card"
	NeedBoatAnswer Need = "boat-answer"
	NeedWitness    Need = "witness"
	NeedCylinder   Need = "cylinder"
	NeedAirPoint   Need = "air-point"
	NeedAnswer     Need = "answer" // what the analyser shows, or an open number
	NeedSpeak      Need = "speak"
	NeedLeft       Need = "left"
)

// Owed is one thing a person still owes, for one cylinder or ("") for themself.
type Owed struct {
	Person   PersonID   `json:"person"`
	Cylinder CylinderID `json:"cylinder,omitempty"`
	Why      Need       `json:"why"`
	Rule     gas.Rule   `json:"rule"` // that asks for it
}

// Analysis tells whether an analyser settles it.
func (o Owed) Analysis() bool {
	return o.Why == NeedReading || o.Why == NeedWitness || o.Why == NeedAirPoint
}

// Reminds tells whether the person themselves can settle it, with an analyser or
// an answer, so that reminding them makes sense.
func (o Owed) Reminds() bool {
	return o.Analysis() || o.Why == NeedBoatAnswer || o.Why == NeedAnswer
}

// Tightest is the shallowest depth and the shortest time of several clearances,
// and whose each is. Zero values are nothing to say. It is never the loosest of
// anything.
type Tightest struct {
	MaxDepth   gas.Depth `json:"max_depth,omitzero"`
	DepthBy    PersonID  `json:"depth_by,omitempty"`
	MaxMinutes float64   `json:"max_minutes,omitzero"` // only under one and a half times the planned minutes
	TimeBy     PersonID  `json:"time_by,omitempty"`
}

// TeamBoard is the tightest of one team.
type TeamBoard struct {
	Team string `json:"team"`
	Tightest
}

// Of is a person's clearance, nil when there is none.
func (b *Board) Of(p PersonID) *Clearance {
	for i := range b.People {
		if b.People[i].Person == p {
			return &b.People[i]
		}
	}
	return nil
}
