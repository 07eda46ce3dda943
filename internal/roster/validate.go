package roster

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/language"

	"gasmuster/internal/gas"
)

// The limits of a trip.
const (
	MaxDivers    = 60
	MaxCylinders = 6 // of one person, in use
	MaxDives     = 5
	MaxLeaders   = 4
	MaxName      = 80 // characters of any name
	maxAnalysers = 20
	maxLabel     = 20  // characters of a label: it fits on a cylinder
	maxDepth     = 100 // metres
	maxBottom    = 11000
	maxAltitude  = 5000    // metres
	maxMinutes   = 600     // of a dive
	maxInterval  = 24 * 60 // minutes
	maxAsked     = 40      // percent: the hard bound of every policy
)

// Fault is one thing wrong with a trip: where (a JSON pointer into the trip as
// shops send it), what was given, and what is wrong and would be accepted.
type Fault struct {
	Path    string `json:"path"`
	Value   string `json:"value"`
	Problem string `json:"problem"`
}

// String is "/dives/0/depth is -3 m: ...".
func (f Fault) String() string { return fmt.Sprintf("%s is %q: %s", f.Path, f.Value, f.Problem) }

// faults collects what is wrong below one path.
type faults struct {
	path string
	all  *[]Fault
}

func (f faults) at(parts ...any) faults {
	for _, p := range parts {
		f.path += fmt.Sprintf("/%v", p)
	}
	return f
}

func (f faults) add(value, problem string, args ...any) {
	*f.all = append(*f.all, Fault{Path: f.path, Value: value, Problem: fmt.Sprintf(problem, args...)})
}

// Validate looks at a new or changed trip and returns everything that is wrong
// with it, nil when nothing is. Clean the trip first. Paths name leaders and
// divers as a shop sends them, each counted from 0.
func (t *Trip) Validate() []Fault {
	var all []Fault
	f := faults{all: &all}
	t.validateTrip(f)
	for i := range t.Dives {
		f := f.at("dives", i)
		t.Dives[i].validate(f, i == 0, t.Units)
		if d := t.Dives[i].Depth; d.Unit == t.Units && t.tooDeep(d) {
			f.at("depth").add(d.String(), "is beyond the policy's deepest; accepted: at most %s", t.Policy.Deepest.NamedIn(t.Units))
		}
	}
	t.validateAnalysers(f)
	t.validatePeople(f)
	if t.Version == 0 {
		t.validateLabels(f) // later, two people claiming one cylinder is a finding, not a fault
	}
	return all
}

// earliestReady is how long before departure cylinders may be ready at the most:
// a longer time is a slip of the day.
const earliestReady = 48 * time.Hour

func (t *Trip) validateTrip(f faults) {
	f.at("name").name(t.Name, true)
	if _, err := Zone(t.Zone); err != nil {
		f.at("time_zone").add(t.Zone, "%s", err)
	}
	if y := t.Departs.Year(); t.Departs.IsZero() || y < 2000 || y >= 2200 {
		f.at("departs_at").add(timeText(t.Departs), "is no departure; accepted is an instant such as 2027-05-15T08:30:00Z")
	}
	if n := len(t.Dives); n < 1 || n > MaxDives {
		f.at("dives").add(strconv.Itoa(n), "is the number of dives; accepted are 1 to %d", MaxDives)
	}
	for _, p := range t.Policy.Faults() {
		f.at("policy", p.Field).add(p.Value, "is outside the bounds; accepted: %s", p.Accepted)
	}
	if t.Policy.Deepest.Unit != t.Units || !t.Policy.Deepest.Known() {
		f.at("policy", "deepest").add(t.Policy.Deepest.String(), "is not in the trip's unit; accepted: %s", t.Units)
	}
	if at := t.CylindersReady; !at.IsZero() && (at.After(t.Departs) || at.Before(t.Departs.Add(-earliestReady))) {
		f.at("cylinders_ready_at").add(timeText(at), "is not in the %.0f hours before the departure; accepted: %s to %s", earliestReady.Hours(),
			timeText(t.Departs.Add(-earliestReady)), timeText(t.Departs))
	}
	f.at("first_dive_after").number(t.FirstDiveAfter, 0, maxInterval, "minutes")
	if t.Evening != "" {
		if _, err := Schedule(t.Evening); err != nil {
			f.at("evening").add(t.Evening, "%s", err)
		}
	}
	if _, _, err := Quiet(t.Quiet); err != nil {
		f.at("quiet").add(t.Quiet, "%s", err)
	}
}

func (f faults) name(s string, required bool) {
	switch n := length(s); {
	case n == 0 && required:
		f.add(s, "is empty; accepted are 1 to %d characters", MaxName)
	case n > MaxName:
		f.add(s, "has %d characters; accepted are at most %d", n, MaxName)
	}
}

// number faults v unless lo <= v <= hi; NaN never is.
func (f faults) number(v, lo, hi float64, unit string) {
	if !(v >= lo && v <= hi) {
		f.add(strconv.FormatFloat(v, 'f', -1, 64), "is out of range; accepted: %s to %s %s",
			strconv.FormatFloat(lo, 'f', -1, 64), strconv.FormatFloat(hi, 'f', -1, 64), unit)
	}
}

// depth faults a depth that isn't more than 0 and at most most metres, in the
// trip's unit.
func (f faults) depth(d gas.Depth, unit gas.Unit, most float64) bool {
	switch {
	case d.Unit != unit:
		f.add(d.String(), "is not in the trip's unit; accepted: %s", unit)
	case !(d.Value > 0) || math.IsInf(d.Value, 0) || d.Metres() > most+1e-9:
		f.add(d.String(), "is out of range; accepted: more than 0, to %s m (%s ft)",
			strconv.FormatFloat(most, 'f', -1, 64), strconv.FormatFloat(math.Floor(most/gas.MetresPerFoot), 'f', -1, 64))
	default:
		return true
	}
	return false
}

func (d *Dive) validate(f faults, first bool, unit gas.Unit) {
	f.at("site").name(d.Site, true)
	planned := f.at("depth").depth(d.Depth, unit, maxDepth)
	switch b := f.at("bottom"); {
	case d.Bottomless && d.Bottom.Value != 0:
		b.add(d.Bottom.String(), `is a depth and "none" at once; accepted is one of them`)
	case d.Bottom.Value == 0:
	case b.depth(d.Bottom, unit, maxBottom) && planned && d.Depth.DeeperThan(d.Bottom):
		b.add(d.Bottom.String(), "is shallower than the planned depth; accepted: %s or deeper, or \"none\"", d.Depth)
	}
	f.at("minutes").number(d.Minutes, 1, maxMinutes, "minutes")
	f.at("altitude").number(d.Altitude, 0, maxAltitude, "metres")
	if first && d.Interval != 0 {
		f.at("interval").add(number(d.Interval), "is before the first dive; accepted is an interval from the second dive on")
		return
	}
	f.at("interval").number(d.Interval, 0, maxInterval, "minutes")
}

func (t *Trip) validateAnalysers(f faults) {
	if n := len(t.Analysers); n > maxAnalysers {
		f.at("analysers").add(strconv.Itoa(n), "is the number of analysers; accepted are at most %d", maxAnalysers)
	}
	seen := map[string]int{}
	for i, a := range t.Analysers {
		f := f.at("analysers", i)
		f.name(a.Name, true)
		key := labelKey(a.Name)
		if j, twice := seen[key]; twice && key != "" {
			f.add(a.Name, "is the name of analyser %d too; accepted are names that differ in more than case and blanks", j)
			continue
		}
		seen[key] = i
	}
}

func (t *Trip) validatePeople(f faults) {
	leaders, divers := 0, 0
	t.eachPerson(f, func(f faults, p *Person) {
		switch {
		case p.Leader:
			leaders++
		case !p.Crew:
			divers++
		}
		p.validate(f, t)
	})
	if leaders < 1 || leaders > MaxLeaders {
		f.at("leaders").add(strconv.Itoa(leaders), "is the number of leaders; accepted are 1 to %d", MaxLeaders)
	}
	if divers > MaxDivers {
		f.at("divers").add(strconv.Itoa(divers), "is the number of divers; accepted are at most %d", MaxDivers)
	}
}

// eachPerson calls do with the path of each person as a shop sends it.
func (t *Trip) eachPerson(f faults, do func(faults, *Person)) {
	next := map[string]int{}
	for _, p := range t.People {
		list := "divers"
		switch {
		case p.Leader:
			list = "leaders"
		case p.Crew:
			list = "crew"
		}
		do(f.at(list, next[list]), p)
		next[list]++
	}
}

func (p *Person) validate(f faults, t *Trip) {
	f.at("name").name(p.Name, true)
	f.at("team").name(p.Team, false)
	f.at("card").oneOf(string(p.Card), "", string(gas.CardSeen), string(gas.CardNone), string(gas.CardUnseen))
	f.at("units").oneOf(p.Units, "", gas.Metres.String(), gas.Feet.String())
	if p.Language != "" {
		if _, err := language.Parse(p.Language); err != nil {
			f.at("language").add(p.Language, "is no language; accepted is a BCP 47 tag such as en or pt-PT")
		}
	}
	if p.DepthLimit.Value != 0 {
		f.at("depth_limit").depth(p.DepthLimit, t.Units, maxDepth)
	}
	for _, o := range p.Outsides {
		f.at("outside").name(o.Reason, true)
	}
	used := p.InUse()
	if n := len(used); n > MaxCylinders {
		f.at("cylinders").add(strconv.Itoa(n), "is the number of cylinders; accepted are at most %d", MaxCylinders)
	}
	for i, c := range used {
		c.validate(f.at("cylinders", i), len(t.Dives))
	}
}

func (f faults) oneOf(s string, accepted ...string) {
	var words []string
	for _, a := range accepted {
		if s == a {
			return
		}
		if a != "" {
			words = append(words, strconv.Quote(a))
		}
	}
	f.add(s, "is not known; accepted: %s", strings.Join(words, ", "))
}

func (c *Cylinder) validate(f faults, dives int) {
	if c.Dive < 1 || c.Dive > dives {
		f.at("dive").add(strconv.Itoa(c.Dive), "is no dive of this trip; accepted: 1 to %d", dives)
	}
	if c.Asked != 0 {
		f.at("asked").number(float64(c.Asked), float64(gas.Air), maxAsked, "percent")
	}
	if n := length(c.Label); n > maxLabel {
		f.at("label").add(c.Label, "has %d characters; accepted are at most %d", n, maxLabel)
	}
	f.at("size").name(c.Size, false)
	f.at("owner").name(c.Owner, false)
}

// validateLabels faults a label that two people carry, or one person twice on
// one dive. One person may carry it on several dives: the same cylinder, filled
// again.
func (t *Trip) validateLabels(f faults) {
	owner := map[string]*Person{}
	taken := map[string]bool{} // label and dive
	t.eachPerson(f, func(f faults, p *Person) {
		for i, c := range p.InUse() {
			key := labelKey(c.Label)
			if key == "" {
				continue
			}
			onDive := key + "\x00" + strconv.Itoa(c.Dive)
			if o := owner[key]; taken[onDive] || (o != nil && o != p) {
				f.at("cylinders", i, "label").add(c.Label, "is on another cylinder too; accepted is a label that no other cylinder on the trip has")
			}
			taken[onDive] = true
			if owner[key] == nil {
				owner[key] = p
			}
		}
	})
}
