package shopapi

import (
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// personReader reads divers and leaders of one trip.
type personReader struct {
	units  gas.Unit
	faults *faults
	has    map[string]bool // ids of cylinders that may be named, when a booked diver is changed
}

func element(at string, i int) string { return join(at, strconv.Itoa(i)) }

// person reads one diver or leader. No cylinder is needed: a leader may stay on
// the boat, and a diver may be booked before anybody knows what they will
// breathe; then they owe a reading.
func (in personReader) person(at string, v any, leader bool) *roster.Person {
	o := objectAt(at, v, in.faults)
	p := &roster.Person{Leader: leader, Name: o.needText("name"), Team: o.text("team"), Language: o.text("language"),
		Card: gas.Card(o.choice("card", string(gas.CardUnseen), string(gas.CardSeen), string(gas.CardNone)))}
	if x, ok := o.number("depth_limit"); ok {
		if p.DepthLimit = (gas.Depth{Value: x, Unit: in.units}); x == 0 {
			o.fault("depth_limit", "is 0: a depth is accepted")
		}
	}
	if v, given := o.get("units"); given {
		p.Units, _ = v.(string)
		o.choice("units", "m", "ft")
	}
	for i, v := range o.list("cylinders") {
		p.Cylinders = append(p.Cylinders, in.cylinder(element(join(at, "cylinders"), i), v))
	}
	o.close()
	return p
}

// cylinder reads one booked cylinder.
func (in personReader) cylinder(at string, v any) *roster.Cylinder {
	o := objectAt(at, v, in.faults)
	c := &roster.Cylinder{Label: o.text("label"), Asked: gas.Percent(o.needNumber("asked")), Size: o.text("size"), Dive: 1}
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
		if _, given := o.fields["asked"]; given {
			o.fault("asked", "is 0: 21 (air) to 40 percent is accepted")
		}
	}
	o.close()
	return c
}

// named is the id of the diver's cylinder that an entry stands for, "" for a new one.
func (in personReader) named(o *object) roster.CylinderID {
	id := o.text("id")
	if id != "" && !in.has[id] {
		o.fault("id", "is %s, which is no cylinder in use of this diver", quoted(id))
	}
	return roster.CylinderID(id)
}

// judgePerson adds what the trip says of one person's booking.
func (f *faults) judgePerson(t *roster.Trip, p *roster.Person) {
	alone := *t
	alone.People = []*roster.Person{p}
	prefix := "/divers/0"
	if p.Leader {
		prefix = "/leaders/0"
	}
	f.judge(alone.Validate(), prefix)
}
