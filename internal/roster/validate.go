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
// shops send it), what was given, what is wrong with it and what would be accepted.
// message.Faulty has the words.
type Fault struct {
	Path        string
	Value       string
	Kind        FaultKind
	Least, Most string // what would be accepted, as the kind says
}

// FaultKind is what is wrong with a value.
type FaultKind string

// What can be wrong.
const (
	FaultMissing  FaultKind = "missing"  // it must be given
	FaultLong     FaultKind = "long"     // of Most characters at most
	FaultRange    FaultKind = "range"    // from Least to Most
	FaultAbove    FaultKind = "above"    // more than Least, to Most
	FaultWords    FaultKind = "words"    // one of Most
	FaultDives    FaultKind = "dives"    // so many of them: from Least to Most
	FaultLeaders  FaultKind = "leaders"  // likewise
	FaultDivers   FaultKind = "divers"   // likewise
	FaultFull     FaultKind = "full"     // cylinders or analysers: Most at most
	FaultDeepest  FaultKind = "deepest"  // beyond the policy's, Most
	FaultShallow  FaultKind = "shallow"  // a bottom above the planned depth, Least
	FaultBottom   FaultKind = "bottom"   // neither a depth nor none
	FaultInterval FaultKind = "interval" // before the first dive
	FaultZone     FaultKind = "zone"     // no time zone
	FaultMoment   FaultKind = "moment"   // no day and time
	FaultTwice    FaultKind = "twice"    // a name that another one has
	FaultLanguage FaultKind = "language" // no language
	FaultLabel    FaultKind = "label"    // on another cylinder too
)

// String is "/dives/0/minutes is "0": range 1 to 600".
func (f Fault) String() string {
	return strings.TrimSpace(fmt.Sprintf("%s is %q: %s %s %s", f.Path, f.Value, f.Kind, f.Least, f.Most))
}

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

func (f faults) add(value string, kind FaultKind, least, most string) {
	*f.all = append(*f.all, Fault{Path: f.path, Value: value, Kind: kind, Least: least, Most: most})
}

// few faults a number of things.
func (f faults) few(n int, kind FaultKind, least, most int) {
	if n < least || n > most {
		f.add(strconv.Itoa(n), kind, strconv.Itoa(least), strconv.Itoa(most))
	}
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
			f.at("depth").add(d.String(), FaultDeepest, "", t.Policy.Deepest.NamedIn(t.Units).String())
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
		f.at("time_zone").add(t.Zone, FaultZone, "", "")
	}
	if y := t.Departs.Year(); t.Departs.IsZero() || y < 2000 || y >= 2200 {
		f.at("departs_at").add(timeText(t.Departs), FaultMoment, "", "")
	}
	f.at("dives").few(len(t.Dives), FaultDives, 1, MaxDives)
	f.policy(t.Policy)
	if t.Policy.Deepest.Unit != t.Units || !t.Policy.Deepest.Known() {
		f.at("policy", "deepest").add(t.Policy.Deepest.String(), FaultWords, "", t.Units.String())
	}
	if at := t.CylindersReady; !at.IsZero() && (at.After(t.Departs) || at.Before(t.Departs.Add(-earliestReady))) {
		f.at("cylinders_ready_at").add(timeText(at), FaultRange, timeText(t.Departs.Add(-earliestReady)), timeText(t.Departs))
	}
	f.at("first_dive_after").number(t.FirstDiveAfter, 0, maxInterval)
	if t.Evening != "" {
		if _, err := Schedule(t.Evening); err != nil {
			f.at("evening").add(t.Evening, FaultWords, "", err.Error())
		}
	}
	if _, _, err := Quiet(t.Quiet); err != nil {
		f.at("quiet").add(t.Quiet, FaultWords, "", err.Error())
	}
}

func (f faults) name(s string, required bool) {
	switch n := length(s); {
	case n == 0 && required:
		f.add(s, FaultMissing, "", "")
	case n > MaxName:
		f.add(s, FaultLong, "", strconv.Itoa(MaxName))
	}
}

// PolicyFaults are all that is wrong with a policy, as of a trip's.
func PolicyFaults(p gas.Policy) (all []Fault) {
	faults{all: &all}.policy(p)
	return all
}

// policy faults the numbers and words of a policy.
func (f faults) policy(p gas.Policy) {
	for _, one := range p.Faults() {
		kind, most := FaultRange, one.Most
		switch {
		case one.Words != "":
			kind, most = FaultWords, one.Words
		case one.Above:
			kind = FaultAbove
		}
		f.at("policy", one.Field).add(one.Value, kind, one.Least, most)
	}
}

// number faults v unless lo <= v <= hi; NaN never is.
func (f faults) number(v, lo, hi float64) {
	if !(v >= lo && v <= hi) {
		f.add(figure(v), FaultRange, figure(lo), figure(hi))
	}
}

// figure is a number as it is typed, 0 too.
func figure(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// depth faults a depth that isn't more than 0 and at most most metres, in the
// trip's unit.
func (f faults) depth(d gas.Depth, unit gas.Unit, most float64) bool {
	switch {
	case d.Unit != unit:
		f.add(d.String(), FaultWords, "", unit.String())
	case !(d.Value > 0) || math.IsInf(d.Value, 0) || d.Metres() > most+1e-9:
		f.add(d.String(), FaultAbove, "0", figure(most)+" m ("+figure(math.Floor(most/gas.MetresPerFoot))+" ft)")
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
		b.add(d.Bottom.String(), FaultBottom, "", "")
	case d.Bottom.Value == 0:
	case b.depth(d.Bottom, unit, maxBottom) && planned && d.Depth.DeeperThan(d.Bottom):
		b.add(d.Bottom.String(), FaultShallow, d.Depth.String(), "")
	}
	f.at("minutes").number(d.Minutes, 1, maxMinutes)
	f.at("altitude").number(d.Altitude, 0, maxAltitude)
	if first && d.Interval != 0 {
		f.at("interval").add(figure(d.Interval), FaultInterval, "", "")
		return
	}
	f.at("interval").number(d.Interval, 0, maxInterval)
}

func (t *Trip) validateAnalysers(f faults) {
	f.at("analysers").few(len(t.Analysers), FaultFull, 0, maxAnalysers)
	seen := map[string]bool{}
	for i, a := range t.Analysers {
		f := f.at("analysers", i)
		f.name(a.Name, true)
		key := labelKey(a.Name)
		if seen[key] && key != "" {
			f.add(a.Name, FaultTwice, "", "")
			continue
		}
		seen[key] = true
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
	f.at("leaders").few(leaders, FaultLeaders, 1, MaxLeaders)
	f.at("divers").few(divers, FaultDivers, 0, MaxDivers)
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
			f.at("language").add(p.Language, FaultLanguage, "", "")
		}
	}
	if p.DepthLimit.Value != 0 {
		f.at("depth_limit").depth(p.DepthLimit, t.Units, maxDepth)
	}
	for _, o := range p.Outsides {
		f.at("outside").name(o.Reason, true)
	}
	used := p.InUse()
	f.at("cylinders").few(len(used), FaultFull, 0, MaxCylinders)
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
			words = append(words, a)
		}
	}
	f.add(s, FaultWords, "", strings.Join(words, ", "))
}

func (c *Cylinder) validate(f faults, dives int) {
	if c.Dive < 1 || c.Dive > dives {
		f.at("dive").add(strconv.Itoa(c.Dive), FaultRange, "1", strconv.Itoa(dives))
	}
	if c.Asked != 0 {
		f.at("asked").number(float64(c.Asked), float64(gas.Air), maxAsked)
	}
	if length(c.Label) > maxLabel {
		f.at("label").add(c.Label, FaultLong, "", strconv.Itoa(maxLabel))
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
				f.at("cylinders", i, "label").add(c.Label, FaultLabel, "", "")
			}
			taken[onDive] = true
			if owner[key] == nil {
				owner[key] = p
			}
		}
	})
}
