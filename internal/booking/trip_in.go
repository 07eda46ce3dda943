package booking

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// readTrip reads a whole new trip. Here stands what a document must look like;
// what a trip may be is judged by roster.Trip.Validate. Shop and ids are the
// caller's.
func readTrip(v any, base *gas.Policy, now time.Time, f *Faults) *roster.Draft {
	o := ObjectAt("", v, f)
	blank := roster.NewTrip("", "")
	units := readUnits(o)
	plan := roster.Plan{Name: o.NeedText("name"), Zone: o.NeedText("time_zone"),
		Units: units, Departs: readDeparture(o, now), Policy: readPolicy(o, base.In(units))}
	plan.FirstDiveAfter, _ = o.number("first_dive_after")
	plan.CylindersReady = readReady(o)
	plan.Ref = o.Text("external_ref")
	plan.Dives = readDives(o, plan.Units)
	for i, v := range o.list("analysers") {
		plan.Analysers = append(plan.Analysers, roster.Analyser{Name: readElement(element("/analysers", i), v, f)})
	}
	blank.Plan = &plan
	t := roster.Change(blank)
	in := PersonReader{Units: t.Units, Faults: f, Now: now}
	for _, role := range []Role{RoleLeader, RoleCrew, roleDiver} {
		for i, v := range o.list(role.list()) {
			t.AddPerson(in.person(element("/"+role.list(), i), v, role), "", now)
		}
	}
	if o.Yes("open_invite") {
		t.OpenGate("", now)
	}
	o.Close()
	f.judge(t.Validate(), "")
	return t
}

// judge adds what the trip says of itself, below prefix, except where a fault
// of the document was found already.
func (f *Faults) judge(found []roster.Fault, prefix string) {
	for _, v := range found {
		at, below := strings.CutPrefix(v.Path, prefix)
		said := func(have Fault) bool {
			aside := have.Pointer == "" && have.Row > 0 // of a CSV file's row, and of nothing in the document
			return !aside && (at == have.Pointer || strings.HasPrefix(at, have.Pointer+"/"))
		}
		if below && !slices.ContainsFunc(f.List, said) {
			f.Wrong(at, message.Faulty(v))
		}
	}
}

// readElement is a string in an array.
func readElement(at string, v any, f *Faults) string {
	s, ok := v.(string)
	if !ok {
		f.Add(at, "must be a string, not %s", kindOf(v))
	}
	return roster.CleanName(s)
}

func readUnits(o *Object) gas.Unit {
	if _, given := o.get("units"); !given {
		o.Wrong("units", message.Say("fault.missing.units", nil))
		return gas.Metres
	}
	if o.choice("units", "m", "ft") == "ft" {
		return gas.Feet
	}
	return gas.Metres
}

// readDeparture accepts a departure from now on: a trip that has left can't be
// prepared any more.
func readDeparture(o *Object, now time.Time) time.Time {
	if _, ok := o.get("departs_at"); !ok {
		o.Wrong("departs_at", message.Say("fault.missing.departs", nil))
		return time.Time{}
	}
	t, ok := o.Moment("departs_at")
	switch {
	case !ok:
	case t.Before(now):
		o.Wrong("departs_at", message.Say("fault.past", nil))
	case t.After(now.AddDate(2, 0, 0)):
		o.Wrong("departs_at", message.Say("fault.far", nil))
	}
	return t
}

// readReady is when the cylinders can be analysed, zero for the usual time before
// departure.
func readReady(o *Object) time.Time {
	if _, ok := o.get("cylinders_ready_at"); !ok {
		return time.Time{}
	}
	t, _ := o.Moment("cylinders_ready_at")
	return t
}

// readPolicy changes p, what a trip begins with; its bounds are those of the check.
func readPolicy(o *Object, p gas.Policy) gas.Policy {
	v, ok := o.get("policy")
	if !ok {
		return p
	}
	in := ObjectAt(join(o.at, "policy"), v, o.faults)
	for name, to := range map[string]*float64{"ppo2": (*float64)(&p.PPO2), "ppo2_max": (*float64)(&p.PPO2Max),
		"max_o2": (*float64)(&p.MaxO2), "tolerance": &p.Tolerance, "tell_shop": &p.TellShop, "gf": &p.GF,
		"fresh_for_hours": &p.FreshFor, "max_co": &p.MaxCO} {
		if x, ok := in.number(name); ok {
			*to = x
		}
	}
	if x, ok := in.number("deepest"); ok {
		p.Deepest.Value = x
	}
	if _, given := in.get("boat_check"); given {
		p.BoatCheck = gas.BoatCheck(in.choice("boat_check", string(gas.BoatCheckUnattended), string(gas.BoatCheckAll)))
	}
	if _, given := in.get("oxygen_credit"); given {
		p.OxygenCredit = in.Yes("oxygen_credit")
	}
	in.Close()
	return p
}

// ReadPolicy reads what new trips are to begin with: a document with units and a policy.
// What it does not name is the default.
func ReadPolicy(doc map[string]any) (gas.Policy, error) {
	var f Faults
	o := ObjectAt("", doc, &f)
	var none *gas.Policy
	p := readPolicy(o, none.In(readUnits(o)))
	f.judge(roster.PolicyFaults(p), "")
	return p, f.Err()
}

func readDives(o *Object, u gas.Unit) []roster.Dive {
	var dives []roster.Dive
	for i, v := range o.list("dives") {
		dives = append(dives, readDive(ObjectAt(element(join(o.at, "dives"), i), v, o.faults), u))
	}
	return dives
}

func readDive(o *Object, u gas.Unit) roster.Dive {
	d := roster.Dive{Site: o.NeedText("site"), Depth: gas.Depth{Value: o.NeedNumber("depth"), Unit: u}}
	readBottom(o, &d)
	if o.choice("water", "salt", "fresh") == "fresh" {
		d.Water = gas.Fresh
	}
	d.Minutes = o.NeedNumber("minutes")
	d.Altitude, _ = o.number("altitude")
	d.Interval, _ = o.number("interval")
	o.Close()
	return d
}

// readBottom reads a number, or "none" for a wall without a bottom in reach.
func readBottom(o *Object, d *roster.Dive) {
	v, _ := o.get("bottom")
	if s, isText := v.(string); isText {
		if d.Bottomless = s == "none"; !d.Bottomless {
			o.Wrong("bottom", message.Faulty(roster.Fault{Kind: roster.FaultBottom, Value: s}))
		}
		return
	}
	if x, ok := o.number("bottom"); ok {
		if d.Bottom = (gas.Depth{Value: x, Unit: d.Depth.Unit}); x == 0 {
			o.Wrong("bottom", message.Faulty(roster.Fault{Kind: roster.FaultBottom, Value: "0"}))
		}
	}
}
