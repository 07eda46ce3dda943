package booking

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// readTrip reads a whole new trip. Here stands what a document must look like;
// what a trip may be is judged by roster.Trip.Validate. Shop and ids are the
// caller's.
func readTrip(v any, now time.Time, f *Faults) *roster.Draft {
	o := ObjectAt("", v, f)
	blank := roster.NewTrip("", "")
	units := readUnits(o)
	plan := roster.Plan{Name: o.NeedText("name"), Zone: o.NeedText("time_zone"),
		Units: units, Departs: readDeparture(o, now), Policy: readPolicy(o, units)}
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
			f.Add(at, "is %s: %s", Quoted(v.Value), strings.TrimPrefix(v.Problem, "is "))
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
		o.Fault("units", "is required: m or ft. Units are never guessed")
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
		o.Fault("departs_at", "is required: a time as in RFC 3339, such as 2027-05-15T08:30:00Z")
		return time.Time{}
	}
	t, ok := o.Moment("departs_at")
	switch {
	case !ok:
	case t.Before(now):
		o.Fault("departs_at", "is in the past: a time after %s is accepted", now.UTC().Format(time.RFC3339))
	case t.After(now.AddDate(2, 0, 0)):
		o.Fault("departs_at", "is more than two years from now")
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

// readPolicy starts from the default; its bounds are those of the check.
func readPolicy(o *Object, u gas.Unit) gas.Policy {
	p := gas.DefaultPolicy(u)
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
		p.Deepest = gas.Depth{Value: x, Unit: u}
	}
	p.BoatCheck = gas.BoatCheck(in.choice("boat_check", string(gas.BoatCheckUnattended), string(gas.BoatCheckAll)))
	p.OxygenCredit = in.Yes("oxygen_credit")
	in.Close()
	return p
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
			o.Fault("bottom", "is %s: a number or the word none is accepted", Quoted(s))
		}
		return
	}
	if x, ok := o.number("bottom"); ok {
		if d.Bottom = (gas.Depth{Value: x, Unit: d.Depth.Unit}); x == 0 {
			o.Fault("bottom", "is 0: a depth, or the word none, is accepted")
		}
	}
}
