package papers

import (
	"encoding/json"
	"math"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Record is all that a trip's record says: data, and the words that people
// read. Depths are plain numbers in the trip's units, times are instants.
type Record struct {
	Trip     roster.TripID   `json:"trip"`
	Name     string          `json:"name"`
	Departs  time.Time       `json:"departs_at"`
	Zone     string          `json:"time_zone"`
	Units    gas.Unit        `json:"units"`
	Made     time.Time       `json:"made_at"`
	Signed   bool            `json:"signed_off"` // every dive is, and no sign-off was reopened
	Leaders  []string        `json:"leaders"`
	Dives    []DiveRecord    `json:"dives"`
	Readings []ReadingRecord `json:"readings"`
	Depths   []DepthSet      `json:"depths_set"`
	Policy   []PolicyRecord  `json:"policy_changed"` // what isn't the default
	Cautions []string        `json:"cautions"`
	words    teller
}

// DiveRecord is one dive: its plan, what was dived, and each version of the
// board under it, the earliest first.
type DiveRecord struct {
	Number   int           `json:"number"`
	Site     string        `json:"site"`
	Depth    float64       `json:"depth"`
	Bottom   any           `json:"bottom,omitempty"` // a number or "none"
	Minutes  float64       `json:"minutes,omitempty"`
	Water    gas.Water     `json:"water"`
	Altitude float64       `json:"altitude"`
	Interval float64       `json:"interval,omitempty"`
	Plan     string        `json:"plan"` // in words
	Dived    []DivedRecord `json:"dived"`
	Versions []Version     `json:"versions"`
}

// DivedRecord is what a dive turned out to be, for everybody or for one.
type DivedRecord struct {
	Diver   string    `json:"diver,omitempty"` // "" for everybody
	Depth   float64   `json:"depth"`
	Minutes float64   `json:"minutes"`
	By      string    `json:"by"`
	At      time.Time `json:"at"`
	Text    string    `json:"text"`
}

// ReadingRecord is one reading with what became of it.
type ReadingRecord struct {
	ID       roster.ReadingID  `json:"id"`
	Number   int               `json:"number"` // the diver's place on the trip
	Diver    string            `json:"diver"`
	Cylinder roster.CylinderID `json:"cylinder"`
	Label    string            `json:"label,omitempty"`
	Dive     int               `json:"dive"` // that the cylinder is for
	Asked    gas.Percent       `json:"asked,omitzero"`
	Percent  gas.Percent       `json:"percent"`
	At       time.Time         `json:"taken_at"`
	Stage    gas.Stage         `json:"stage"`
	Entrant  gas.Entrant       `json:"entrant"`
	By       string            `json:"by"`
	Analyser string            `json:"analyser,omitempty"`
	State    string            `json:"state"` // "counts", "taken-back", "void"
	Until    time.Time         `json:"until,omitzero"`
	Replaces roster.ReadingID  `json:"replaces,omitempty"`
	how      string
}

// DepthSet is a depth that a leader set for somebody.
type DepthSet struct {
	Diver  string    `json:"diver"`
	Depth  float64   `json:"depth"`
	By     string    `json:"by"`
	At     time.Time `json:"at"`
	Reason string    `json:"reason"`
}

// PolicyRecord is a policy that isn't the default.
type PolicyRecord struct {
	Field   string `json:"field"`
	Value   any    `json:"value"`
	Default any    `json:"default"`
	text    string
}

// Record gathers a trip's record in one language.
func (p Press) Record(t *roster.Trip, language string) Record { return p.record(p.teller(t, language)) }

func (p Press) record(w teller) Record {
	t := w.trip
	r := Record{Trip: t.ID, Name: t.Name, Departs: t.Departs.UTC(), Zone: t.Zone, Units: t.Units, Made: p.Now.UTC(),
		Signed: len(t.Dives) > 0 && t.CurrentDive() == 0, Leaders: []string{}, Dives: []DiveRecord{}, Readings: []ReadingRecord{},
		Depths: []DepthSet{}, Policy: w.policy(), Cautions: []string{w.say("page.caution", nil), w.say("papers.caution", nil)}, words: w}
	for _, l := range t.Leaders() {
		r.Leaders = append(r.Leaders, w.who(l.ID))
	}
	for n := range t.Dives {
		r.Dives = append(r.Dives, w.dive(n+1, p.Now))
	}
	for _, d := range t.People {
		for _, c := range d.Cylinders {
			for _, reading := range c.Readings {
				r.Readings = append(r.Readings, w.reading(d, c, reading))
			}
		}
		if d.SetDepth.Known() {
			r.Depths = append(r.Depths, DepthSet{w.who(d.ID), d.SetDepth.Value, w.who(d.SetBy), d.SetAt.UTC(), w.reason(d.SetWhy)})
		}
	}
	return r
}

func (w teller) dive(n int, now time.Time) DiveRecord {
	d := w.trip.Dives[n-1]
	out := DiveRecord{Number: n, Site: d.Site, Depth: d.Depth.Value, Minutes: d.Minutes, Water: d.Water, Altitude: d.Altitude,
		Interval: d.Interval, Plan: w.say("record.dive", message.Args{"dive": message.Count(n), "plan": message.Of(message.Plan(d))}),
		Dived: []DivedRecord{}, Versions: w.versions(n, now)}
	switch {
	case d.Bottomless:
		out.Bottom = "none"
	case d.Bottom.Known():
		out.Bottom = d.Bottom.Value
	}
	for _, what := range d.Dived {
		one := DivedRecord{Depth: what.Depth.Value, Minutes: what.Minutes, By: w.who(what.By), At: what.At.UTC()}
		a := message.Args{"depth": message.Planned(what.Depth), "minutes": message.Minutes(what.Minutes)}
		key := "record.dived"
		if what.Person != "" {
			one.Diver = w.who(what.Person)
			key, a["name"] = "record.dived.one", w.whoValue(what.Person)
		}
		one.Text = w.say(key, a)
		out.Dived = append(out.Dived, one)
	}
	return out
}

func (w teller) reading(p *roster.Person, c *roster.Cylinder, r *roster.Reading) ReadingRecord {
	out := ReadingRecord{ID: r.ID, Number: number(w.trip, p.ID), Diver: w.who(p.ID), Cylinder: c.ID, Label: c.Label, Dive: c.Dive,
		Asked: c.Asked, Percent: r.Percent, At: r.At.UTC(), Stage: r.Stage, Entrant: r.Entrant, By: w.who(r.By), Analyser: r.Analyser,
		State: "counts", Replaces: r.Replaces}
	switch {
	case !r.Undone.IsZero():
		out.State, out.Until = "taken-back", r.Undone.UTC()
	case !r.Void.IsZero():
		out.State, out.Until = "void", r.Void.UTC()
	}
	a := message.Args{"who": w.whoValue(r.By)}
	key := "record.by." + string(r.Entrant)
	if r.Analyser != "" {
		key, a["analyser"] = key+".on", message.Name(r.Analyser)
	}
	out.how = w.say(key, a)
	return out
}

// policy is what isn't the default, by its names in the shop's API.
func (w teller) policy() []PolicyRecord {
	list := []PolicyRecord{}
	values, usual := fields(w.trip.Policy), fields(gas.DefaultPolicy())
	for _, name := range w.trip.Policy.Changed() {
		one := PolicyRecord{Field: name, Value: values[name], Default: usual[name]}
		one.text = w.say("policy."+name, message.Args{"value": policyValue(name, values[name])})
		list = append(list, one)
	}
	return list
}

// fields are a policy's fields by their JSON names.
func fields(p gas.Policy) map[string]any {
	b, err := json.Marshal(p)
	m := map[string]any{}
	if err == nil {
		err = json.Unmarshal(b, &m)
	}
	if err != nil {
		panic(err) // our own type
	}
	if m["oxygen_credit"] == nil {
		m["oxygen_credit"] = false
	}
	return m
}

func policyValue(name string, v any) message.Value {
	switch v := v.(type) {
	case float64:
		if v == math.Trunc(v) {
			return message.Count(int(v))
		}
		return message.Points(v)
	case bool:
		key := "policy.oxygen-credit.none"
		if v {
			key = "policy.oxygen-credit.custom"
		}
		return message.Of(message.Say(key, nil))
	case string:
		return message.Of(message.Say("policy.boat-check."+v, nil))
	}
	return message.Code(name)
}
