package booking

import (
	"strconv"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Full faults somebody for whom there is no place on the trip.
func (f *Faults) Full(t *roster.Trip, as Role) {
	most, known := map[Role]int{roleDiver: roster.MaxDivers, RoleLeader: roster.MaxLeaders}[as]
	if n := CountRole(t, as); known && n >= most {
		kind := map[Role]roster.FaultKind{roleDiver: roster.FaultDivers, RoleLeader: roster.FaultLeaders}[as]
		f.Wrong("", message.Faulty(roster.Fault{Kind: kind, Value: strconv.Itoa(n + 1), Least: "1",
			Most: strconv.Itoa(most)}))
	}
}

// CountRole is how many of a role are on the trip.
func CountRole(t *roster.Trip, as Role) (n int) {
	for _, p := range t.People {
		if RoleOf(p) == as && p.Left.IsZero() {
			n++
		}
	}
	return n
}

// FreeLabels reports labels that a cylinder of somebody else carries.
func FreeLabels(t *roster.Trip, p *roster.Person, f *Faults) {
	for i, c := range p.Cylinders {
		if c.Label == "" {
			continue
		}
		for _, other := range t.Labelled(c.Label) {
			owner, _ := t.Cylinder(other.ID)
			if other.ID != c.ID && (owner == nil || owner.ID != p.ID) {
				f.Wrong(join(element("/cylinders", i), "label"), message.Faulty(roster.Fault{Kind: roster.FaultLabel,
					Value: c.Label}))
			}
		}
	}
}

// bookedJSON is the part of a person that a shop may change.
type bookedPerson struct {
	Person
	Leader    bool        `json:"leader"`
	Crew      bool        `json:"crew"`
	Cylinders []bookedGas `json:"cylinders"`
}

type bookedGas struct {
	ID    roster.CylinderID `json:"id,omitempty"`
	Label string            `json:"label,omitempty"`
	Asked gas.Percent       `json:"asked"`
	Dive  int               `json:"dive"`
	Size  string            `json:"size,omitempty"`
	Owner string            `json:"owner,omitempty"`
}

// ReadPersonChange reads a merge patch of a booked person as the change that it
// stands for, and judges the person as they would be.
func ReadPersonChange(t *roster.Trip, p *roster.Person, patch map[string]any, at time.Time,
	f *Faults) conversation.PersonChange {
	before := bookedPerson{PersonOf(p), p.Leader, p.Crew, []bookedGas{}}
	has := map[string]bool{}
	for _, c := range p.InUse() {
		has[string(c.ID)] = true
		asked := c.Asked
		if asked == 0 {
			asked = gas.Air // an own cylinder brought at the dock: only read when the patch names it
		}
		before.Cylinders = append(before.Cylinders, bookedGas{c.ID, c.Label, asked, c.Dive, c.Size, c.Owner})
	}
	in := PersonReader{Units: t.Units, Faults: f, Now: at, has: has}
	now := in.Booked(merge(document(before, f), patch))
	now.ID = p.ID
	if as := RoleOf(now); as != RoleOf(p) {
		f.Full(t, as)
	}
	f.JudgePerson(t, now)
	FreeLabels(t, now, f)
	return differences(p, now, patch)
}

// differences keeps what the patch names.
func differences(p, now *roster.Person, patch map[string]any) conversation.PersonChange {
	change := conversation.PersonChange{Person: p.ID}
	given := func(name string) bool { _, ok := patch[name]; return ok }
	if given("name") {
		change.Name = &now.Name
	}
	if given("card") {
		change.Card = &now.Card
	}
	if given("depth_limit") {
		change.DepthLimit = &now.DepthLimit
	}
	if given("team") {
		change.Team = &now.Team
	}
	if given("language") {
		change.Language = &now.Language
	}
	if given("units") {
		change.Units = &now.Units
	}
	if given("leader") || given("crew") {
		change.Leader, change.Crew = &now.Leader, &now.Crew
	}
	if given("outside") {
		reason := PersonOf(now).Outside
		change.Outside = &reason
	}
	if given("cylinders") {
		change.Cylinders = append([]*roster.Cylinder{}, now.Cylinders...)
	}
	return change
}
