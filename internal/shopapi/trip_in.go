package shopapi

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
func readTrip(v any, now time.Time, f *faults) *roster.Trip {
	o := objectAt("", v, f)
	t := &roster.Trip{Schema: roster.SchemaVersion, Name: o.needText("name"), Zone: o.needText("time_zone"),
		Units: readUnits(o), Departs: readDeparture(o, now), Policy: readPolicy(o)}
	t.Dives = readDives(o, t.Units)
	for i, v := range o.list("analysers") {
		t.Analysers = append(t.Analysers, roster.Analyser{Name: readElement(element("/analysers", i), v, f)})
	}
	in := personReader{units: t.Units, faults: f}
	for i, v := range o.list("leaders") {
		t.AddPerson(in.person(element("/leaders", i), v, true), "", now)
	}
	for i, v := range o.list("divers") {
		t.AddPerson(in.person(element("/divers", i), v, false), "", now)
	}
	o.close()
	f.judge(t.Validate(), "")
	return t
}

// judge adds what the trip says of itself, below prefix, except where a fault
// of the document was found already.
func (f *faults) judge(found []roster.Fault, prefix string) {
	for _, v := range found {
		at, below := strings.CutPrefix(v.Path, prefix)
		said := func(have fault) bool {
			aside := have.Pointer == "" && have.Row > 0 // of a CSV file's row, and of nothing in the document
			return !aside && (at == have.Pointer || strings.HasPrefix(at, have.Pointer+"/"))
		}
		if below && !slices.ContainsFunc(f.list, said) {
			f.add(at, "is %s: %s", quoted(v.Value), strings.TrimPrefix(v.Problem, "is "))
		}
	}
}

// readElement is a string in an array.
func readElement(at string, v any, f *faults) string {
	s, ok := v.(string)
	if !ok {
		f.add(at, "must be a string, not %s", kindOf(v))
	}
	return roster.CleanName(s)
}

func readUnits(o *object) gas.Unit {
	if o.choice("units", "m", "ft") == "ft" {
		return gas.Feet
	}
	return gas.Metres
}

// readDeparture accepts a departure from now on: a trip that has left can't be
// prepared any more.
func readDeparture(o *object, now time.Time) time.Time {
	if _, ok := o.get("departs_at"); !ok {
		o.fault("departs_at", "is required: a time as in RFC 3339, such as 2027-05-15T08:30:00Z")
		return time.Time{}
	}
	t, ok := o.moment("departs_at")
	switch {
	case !ok:
	case t.Before(now):
		o.fault("departs_at", "is in the past: a time after %s is accepted", now.UTC().Format(time.RFC3339))
	case t.After(now.AddDate(2, 0, 0)):
		o.fault("departs_at", "is more than two years from now")
	}
	return t
}

// readPolicy starts from the default; its bounds are those of the check.
func readPolicy(o *object) gas.Policy {
	p := gas.DefaultPolicy()
	v, ok := o.get("policy")
	if !ok {
		return p
	}
	in := objectAt(join(o.at, "policy"), v, o.faults)
	for name, to := range map[string]*float64{"ppo2": (*float64)(&p.PPO2), "ppo2_max": (*float64)(&p.PPO2Max),
		"max_o2": (*float64)(&p.MaxO2), "tolerance": &p.Tolerance, "tell_shop": &p.TellShop, "gf": &p.GF,
		"fresh_for_hours": &p.FreshFor, "max_co": &p.MaxCO} {
		if x, ok := in.number(name); ok {
			*to = x
		}
	}
	p.BoatCheck = gas.BoatCheck(in.choice("boat_check", string(gas.BoatCheckUnattended), string(gas.BoatCheckAll)))
	p.OxygenCredit = in.yes("oxygen_credit")
	in.close()
	return p
}

func readDives(o *object, u gas.Unit) []roster.Dive {
	var dives []roster.Dive
	for i, v := range o.list("dives") {
		dives = append(dives, readDive(objectAt(element(join(o.at, "dives"), i), v, o.faults), u))
	}
	return dives
}

func readDive(o *object, u gas.Unit) roster.Dive {
	d := roster.Dive{Site: o.needText("site"), Depth: gas.Depth{Value: o.needNumber("depth"), Unit: u}}
	readBottom(o, &d)
	if o.choice("water", "salt", "fresh") == "fresh" {
		d.Water = gas.Fresh
	}
	d.Minutes, _ = o.number("minutes")
	d.Altitude, _ = o.number("altitude")
	d.Interval, _ = o.number("interval")
	o.close()
	return d
}

// readBottom reads a number, or "none" for a wall without a bottom in reach.
func readBottom(o *object, d *roster.Dive) {
	v, _ := o.get("bottom")
	if s, isText := v.(string); isText {
		if d.Bottomless = s == "none"; !d.Bottomless {
			o.fault("bottom", "is %s: a number or the word none is accepted", quoted(s))
		}
		return
	}
	if x, ok := o.number("bottom"); ok {
		if d.Bottom = (gas.Depth{Value: x, Unit: d.Depth.Unit}); x == 0 {
			o.fault("bottom", "is 0: a depth, or the word none, is accepted")
		}
	}
}
