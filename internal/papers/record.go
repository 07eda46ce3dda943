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
	Signed   bool            `json:"signed_off"`           // a signature stands under every dive
	Off      string          `json:"called_off,omitempty"` // who called the trip off, when and why
	Leaders  []string        `json:"leaders"`
	Dives    []DiveRecord    `json:"dives"`
	Readings []ReadingRecord `json:"readings"`
	Limits   []LimitSet      `json:"limits_set"`
	Policy   []PolicyRecord  `json:"policy_changed"` // what isn't the default
	Cautions []string        `json:"cautions"`
	words    teller
}

// DiveRecord is one dive: its plan, what was dived, and each version of the
// board under it, the earliest first. It has that dive's clearances and
// cylinders, and nothing of another dive.
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
	Outcome  *Outcome      `json:"outcome,omitempty"`
	Dived    []DivedRecord `json:"dived"`
	Versions []Version     `json:"versions"`
	Late     []LateNews    `json:"late_news"` // what came of it after it was dived
}

// Outcome is a leader's word whether a dive was dived.
type Outcome struct {
	Dived  bool      `json:"dived"`
	Signed bool      `json:"signed"` // under a signature that stood
	By     string    `json:"by"`
	At     time.Time `json:"at"`
	Text   string    `json:"text"`
}

// LateNews is something that was said of a dive after it was dived.
type LateNews struct {
	At   time.Time `json:"at"`
	Text string    `json:"text"`
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

// LimitSet is a limit that a leader set for somebody or for a team.
type LimitSet struct {
	Diver   string    `json:"diver,omitempty"`
	Team    string    `json:"team,omitempty"`
	Dive    int       `json:"dive,omitempty"` // 0 for every dive
	Depth   float64   `json:"depth,omitempty"`
	Minutes float64   `json:"minutes,omitempty"`
	By      string    `json:"by"`
	At      time.Time `json:"at"`
	Reason  string    `json:"reason"`
	what    message.Line
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
		Signed: len(t.Dives) > 0, Leaders: []string{}, Dives: []DiveRecord{}, Readings: []ReadingRecord{},
		Limits: w.limitsSet(), Policy: w.policy(),
		Cautions: []string{w.say("page.caution", nil), w.say("papers.caution", nil)}, words: w}
	if c := t.CalledOff; c != nil {
		r.Off = w.say("calloff.record", message.Args{"who": w.whoValue(c.By), "at": message.Moment(c.At, t.Zone),
			"reason": message.Text(c.Reason)})
	}
	for _, l := range t.Leaders() {
		r.Leaders = append(r.Leaders, w.who(l.ID))
	}
	for n := range t.Dives {
		r.Signed = r.Signed && t.Signed(n+1, p.Now)
		r.Dives = append(r.Dives, w.dive(n+1, p.Now))
	}
	for _, d := range t.People {
		for _, c := range d.Cylinders {
			r.Readings = append(r.Readings, w.readings(d, c, p.Now)...)
		}
	}
	return r
}

func (w teller) dive(n int, now time.Time) DiveRecord {
	d := w.trip.Dives[n-1]
	out := DiveRecord{Number: n, Site: d.Site, Depth: d.Depth.Value, Minutes: d.Minutes, Water: d.Water,
		Altitude: d.Altitude,
		Interval: d.Interval, Plan: w.say("record.dive",
			message.Args{"dive": message.Count(n), "plan": message.Of(message.Plan(d))}),
		Outcome: w.outcome(n, now), Dived: []DivedRecord{}, Versions: w.versions(n, now), Late: w.lateNews(n)}
	switch {
	case d.Bottomless:
		out.Bottom = "none"
	case d.Bottom.Known():
		out.Bottom = d.Bottom.Value
	}
	for _, what := range d.Dived {
		out.Dived = append(out.Dived, w.dived(d, what))
	}
	return out
}

// dived is what a leader or a diver said of a dive; what they left out is as planned.
func (w teller) dived(d roster.Dive, what roster.Dived) DivedRecord {
	depth, minutes := what.Depth, what.Minutes
	if !depth.Known() {
		depth = d.Depth
	}
	if minutes == 0 {
		minutes = d.Minutes
	}
	one := DivedRecord{Depth: depth.Value, Minutes: minutes, By: w.who(what.By), At: what.At.UTC()}
	a := message.Args{"depth": message.Planned(depth), "minutes": message.Minutes(minutes)}
	key := "record.dived"
	if what.Person != "" {
		one.Diver = w.who(what.Person)
		key, a["name"] = "record.dived.one", w.whoValue(what.Person)
	}
	one.Text = w.say(key, a)
	return one
}

// outcome is nil until a leader said whether the dive was dived.
func (w teller) outcome(n int, now time.Time) *Outcome {
	o := w.trip.Dives[n-1].Outcome
	if o == nil {
		return nil
	}
	out := Outcome{Dived: !o.NotDived, Signed: w.trip.Signed(n, now), By: w.who(o.By), At: o.At.UTC()}
	key := "papers.outcome.not-dived"
	switch {
	case out.Dived && out.Signed:
		key = "papers.outcome.dived"
	case out.Dived && w.trip.OnPaper(n, now):
		key = "papers.outcome.on-paper"
	case out.Dived:
		key = "papers.outcome.dived-unsigned"
	}
	out.Text = w.say(key, message.Args{"who": w.whoValue(o.By), "at": message.Clock(o.At, w.trip.Zone)})
	return &out
}

// limitsSet are all limits of leaders, for a diver or a team.
func (w teller) limitsSet() []LimitSet {
	list := []LimitSet{}
	for _, p := range w.trip.People {
		for _, l := range p.Limits {
			list = append(list, w.limitSet(l, w.who(p.ID)))
		}
	}
	for _, l := range w.trip.Teams {
		list = append(list, w.limitSet(l, ""))
	}
	return list
}

func (w teller) limitSet(l roster.Limit, diver string) LimitSet {
	out := LimitSet{Diver: diver, Team: l.Team, Dive: l.Dive, Depth: l.Depth.Value, Minutes: l.Minutes, By: w.who(l.By),
		At: l.At.UTC(), Reason: w.reason(l.Why)}
	a := message.Args{"depth": message.Limit(l.Depth), "minutes": message.Minutes(l.Minutes)}
	switch {
	case l.Depth.Known() && l.Minutes > 0:
		out.what = message.Say("papers.limit.both", a)
	case l.Depth.Known():
		out.what = message.Say("papers.limit.depth", a)
	default:
		out.what = message.Say("papers.limit.minutes", a)
	}
	return out
}

// policy is what isn't the default, by its names in the shop's API.
func (w teller) policy() []PolicyRecord {
	list := []PolicyRecord{}
	values, usual := w.fields(w.trip.Policy), w.fields(gas.DefaultPolicy(w.trip.Units))
	for _, name := range w.trip.Policy.Changed() {
		one := PolicyRecord{Field: name, Value: values[name], Default: usual[name]}
		value := policyValue(name, values[name])
		if name == "deepest" {
			value = message.Planned(w.trip.Policy.Deepest)
		}
		one.text = w.say("policy."+name, message.Args{"value": value})
		list = append(list, one)
	}
	return list
}

// fields are a policy's fields by their JSON names; its deepest depth is a plain
// number in the trip's units, like every depth of a record.
func (w teller) fields(p gas.Policy) map[string]any {
	b, err := json.Marshal(p)
	m := map[string]any{}
	if err == nil {
		err = json.Unmarshal(b, &m)
	}
	if err != nil {
		panic(err) // our own type
	}
	m["deepest"] = p.Deepest.NamedIn(w.trip.Units).Value
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
