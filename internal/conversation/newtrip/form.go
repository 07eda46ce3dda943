// Package newtrip is the dialogue in which a host starts a trip from a phone: one
// question at a time, or everything typed at once. It is pure: a Form holds what is
// known so far, Typed and Pressed put an answer into it, Next asks for what is
// missing or shows the whole, and Draft is the trip that it comes to.
package newtrip

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation/when"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Form is what is known so far of a trip that is being started.
type Form struct {
	Trip      roster.TripID `json:"trip"`           // that it will have: to press Start twice starts one
	Zone      string        `json:"zone,omitempty"` // IANA name
	Units     string        `json:"units,omitempty"`
	Day       string        `json:"day,omitempty"`   // 2027-05-15
	Clock     string        `json:"clock,omitempty"` // 08:30
	Dives     []Dive        `json:"dives,omitempty"`
	Whole     bool          `json:"whole,omitempty"` // no further dive is to come
	Analysers []string      `json:"analysers,omitempty"`
	Named     bool          `json:"named,omitempty"`   // the analysers were asked for
	First     string        `json:"first,omitempty"`   // typed with the command before the zone was known
	Pending   string        `json:"pending,omitempty"` // typed of dives before the unit was known
	AtOnce    bool          `json:"at_once,omitempty"` // no more than that is to come
	Policy    *gas.Policy   `json:"policy,omitempty"`  // of the shop, nil for the default
}

// Dive is one dive of it.
type Dive struct {
	roster.Dive
	Bottomed   bool `json:"bottomed,omitempty"`   // the bottom was said, or that it is not known
	Intervaled bool `json:"intervaled,omitempty"` // the surface interval before it was said
}

// Desk is what an answer is read with.
type Desk struct {
	Now      time.Time
	Language string        // of the host, BCP 47
	Sites    []roster.Dive // that the shop used before, the newest first
}

// New is an empty form of a host.
func New(h roster.Host) Form { return Form{Trip: roster.NewTripID(), Zone: h.Zone, Units: h.Units} }

// step is what is asked for next.
type step string

const (
	askZone      step = "zone"
	askDay       step = "day"
	askClock     step = "clock"
	askSite      step = "site"
	askUnit      step = "unit"
	askDepth     step = "depth"
	askBottom    step = "bottom"
	askMinutes   step = "minutes"
	askInterval  step = "interval"
	askMore      step = "more"
	askAnalysers step = "analysers"
	askStart     step = "start"
)

// step is the first thing that is not known.
func (f *Form) step() step {
	switch {
	case f.Pending != "":
		return askUnit
	case f.Zone == "":
		return askZone
	case f.Day == "":
		return askDay
	case f.Clock == "":
		return askClock
	}
	for i := range f.Dives {
		if s := f.Dives[i].step(i == 0); s != "" {
			return s
		}
	}
	switch {
	case len(f.Dives) == 0:
		return askSite
	case !f.Whole && len(f.Dives) < roster.MaxDives:
		return askMore
	case !f.Named:
		return askAnalysers
	}
	return askStart
}

// step is the first thing of a dive that is not known, "" when all is.
func (d *Dive) step(first bool) step {
	switch {
	case d.Site == "":
		return askSite
	case !d.Depth.Known():
		return askDepth
	case !d.Bottomed:
		return askBottom
	case d.Minutes == 0:
		return askMinutes
	case !first && !d.Intervaled:
		return askInterval
	}
	return ""
}

// open is the dive that is being asked about: the first that is not whole.
func (f *Form) open() *Dive {
	for i := range f.Dives {
		if f.Dives[i].step(i == 0) != "" {
			return &f.Dives[i]
		}
	}
	return f.another()
}

func (f *Form) another() *Dive {
	f.Dives = append(f.Dives, Dive{})
	return &f.Dives[len(f.Dives)-1]
}

func (f *Form) unit() gas.Unit {
	if f.Units == gas.Feet.String() {
		return gas.Feet
	}
	return gas.Metres
}

// departs is the departure; day, time and zone have to be known.
func (f *Form) departs() time.Time {
	zone, err := roster.Zone(f.Zone)
	if err != nil {
		return time.Time{}
	}
	at, err := time.ParseInLocation(time.DateOnly+" 15:04", f.Day+" "+f.Clock, zone)
	if err != nil {
		return time.Time{}
	}
	return at.UTC()
}

// setWhen takes a day and a time of day, and says what is wrong with the two of
// them: the bounds are those of the shop's API.
func (f *Form) setWhen(s when.Said, now time.Time) message.Line {
	was := *f
	if !s.Day.IsZero() {
		f.Day = s.Day.Format(time.DateOnly)
	}
	if s.Clock >= 0 {
		f.Clock = time.Time{}.Add(s.Clock).Format("15:04")
	}
	if f.Day == "" || f.Clock == "" {
		return message.Line{}
	}
	at := f.departs()
	if at.Before(now) || at.After(now.AddDate(2, 0, 0)) {
		f.Day, f.Clock = was.Day, was.Clock
		if f.Day != "" && f.Clock != "" { // neither alone was refused before
			f.Day, f.Clock = "", ""
		}
		return message.Say("newtrip.past", message.Args{"departs": message.Moment(at, f.Zone)})
	}
	return message.Line{}
}

// Draft is the trip, led by its host, with its open invite open, and every fault that it has.
func (f *Form) Draft(h roster.Host, language string, now time.Time) (*roster.Draft, []roster.Fault) {
	t := roster.NewTrip(f.Trip, h.Shop)
	units := f.unit()
	t.Plan = &roster.Plan{Zone: f.Zone, Departs: f.departs(), Units: units, Policy: f.Policy.In(units)}
	var names []string
	for _, d := range f.Dives {
		t.Plan.Dives = append(t.Plan.Dives, d.Dive)
		if !slices.Contains(names, d.Site) {
			names = append(names, d.Site)
		}
	}
	for _, a := range f.Analysers {
		t.Plan.Analysers = append(t.Plan.Analysers, roster.Analyser{Name: a})
	}
	t.Plan.Name = cut(strings.Join(names, " · "))
	d := roster.Change(t)
	leader := &roster.Person{Name: h.Name, Leader: true, Language: language, Units: h.Units}
	d.AddPerson(leader, "", now)
	d.Clean()
	faults := d.Validate()
	d.OpenGate(leader.ID, now)
	return d, faults
}

// cut keeps what a name may have.
func cut(s string) string {
	if r := []rune(s); len(r) > roster.MaxName {
		return string(r[:roster.MaxName])
	}
	return s
}
