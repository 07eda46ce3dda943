package booking

import (
	"strconv"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Role is what somebody is booked as.
type Role string

// The roles. Who leads or is crew may dive too.
const (
	RoleLeader Role = "leader"
	RoleCrew   Role = "crew"
	roleDiver  Role = "diver"
)

// list is where a document has the people of a role.
func (r Role) list() string {
	if r == RoleCrew {
		return "crew"
	}
	return string(r) + "s"
}

// RoleOf is what a person is booked as now.
func RoleOf(p *roster.Person) Role {
	switch {
	case p.Leader:
		return RoleLeader
	case p.Crew:
		return RoleCrew
	}
	return roleDiver
}

// PersonReader reads the people of one trip.
type PersonReader struct {
	Units  gas.Unit
	Faults *Faults
	Now    time.Time
	has    map[string]bool // ids of cylinders that may be named, when a booked diver is changed
}

func element(at string, i int) string { return join(at, strconv.Itoa(i)) }

// person reads one person. No cylinder is needed: a leader may stay on the boat,
// and a diver may be booked before anybody knows what they will breathe; then
// they are not cleared.
func (in PersonReader) person(at string, v any, as Role) *roster.Person {
	return in.read(ObjectAt(at, v, in.Faults), as)
}

// Booked reads one person whose role stands beside them.
func (in PersonReader) Booked(v any) *roster.Person {
	o := ObjectAt("", v, in.Faults)
	as := roleDiver
	switch leader, crew := o.Yes("leader"), o.Yes("crew"); {
	case leader && crew:
		o.Fault("crew", "is true, and leader too: accepted is one of them")
	case leader:
		as = RoleLeader
	case crew:
		as = RoleCrew
	}
	return in.read(o, as)
}

func (in PersonReader) read(o *Object, as Role) *roster.Person {
	at := o.at
	p := &roster.Person{Leader: as == RoleLeader, Crew: as == RoleCrew, Name: o.NeedText("name"), Team: o.Text("team"),
		Language: o.Text("language"),
		Card:     gas.Card(o.choice("card", string(gas.CardUnseen), string(gas.CardSeen), string(gas.CardNone)))}
	if x, ok := o.number("depth_limit"); ok {
		if p.DepthLimit = (gas.Depth{Value: x, Unit: in.Units}); x == 0 {
			o.Wrong("depth_limit", message.Faulty(roster.Fault{Kind: roster.FaultAbove, Value: "0", Least: "0",
				Most: "100 m (328 ft)"}))
		}
	}
	if v, given := o.get("units"); given {
		p.Units, _ = v.(string)
		o.choice("units", "m", "ft")
	}
	if reason := o.Text("outside"); reason != "" {
		p.Outsides = []roster.Out{{At: in.Now, Reason: reason}}
	}
	for i, v := range o.list("cylinders") {
		p.Cylinders = append(p.Cylinders, in.cylinder(element(join(at, "cylinders"), i), v))
	}
	o.Close()
	return p
}

// cylinder reads one booked cylinder.
func (in PersonReader) cylinder(at string, v any) *roster.Cylinder {
	o := ObjectAt(at, v, in.Faults)
	c := &roster.Cylinder{Label: o.Text("label"), Asked: gas.Percent(o.NeedNumber("asked")), Size: o.Text("size"), Dive: 1}
	if n, ok := o.whole("dive"); ok {
		c.Dive = n
	}
	if v, given := o.get("owner"); given {
		c.Owner, _ = v.(string)
		o.choice("owner", "shop", "diver")
	}
	if in.has != nil {
		c.ID = in.named(o)
	}
	if c.Asked == 0 { // which would stand for nothing ordered
		if _, given := o.Fields["asked"]; given {
			o.Wrong("asked", message.Faulty(roster.Fault{Kind: roster.FaultRange, Value: "0", Least: "21", Most: "40"}))
		}
	}
	o.Close()
	return c
}

// named is the id of the diver's cylinder that an entry stands for, "" for a new one.
func (in PersonReader) named(o *Object) roster.CylinderID {
	id := o.Text("id")
	if id != "" && !in.has[id] {
		o.Fault("id", "is %s, which is no cylinder in use of this diver", Quoted(id))
	}
	return roster.CylinderID(id)
}

// JudgePerson adds what the trip says of one person's booking.
func (f *Faults) JudgePerson(t *roster.Trip, p *roster.Person) {
	alone := *t
	alone.People = []*roster.Person{p}
	f.judge(alone.Validate(), "/"+RoleOf(p).list()+"/0")
}
