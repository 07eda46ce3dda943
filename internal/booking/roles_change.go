package booking

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Lists are the lists of people that a merge patch of a trip may replace.
var Lists = []string{RoleLeader.list(), RoleCrew.list()}

// roles is a change of who leads and who is crew, on its way. A list replaces the one
// before. Who is named in it and on the trip already is the same person, and keeps what the
// entry does not name; who is in none any more stays on the trip, as a diver: nobody
// vanishes by being left out.
type roles struct {
	t      *roster.Trip
	now    time.Time
	faults *Faults
	change *conversation.Change
	is     map[string]Role // by plain name: in a list of the patch
}

// ReadRoles adds what a patch says of leaders and crew to a change.
func ReadRoles(t *roster.Trip, patch map[string]any, now time.Time, f *Faults, change *conversation.Change) {
	r := roles{t: t, now: now, faults: f, change: change, is: map[string]Role{}}
	given := map[Role]bool{}
	for _, as := range []Role{RoleLeader, RoleCrew} {
		v, ok := patch[as.list()]
		if !ok {
			continue
		}
		given[as] = true
		list, isList := v.([]any)
		if !isList {
			f.Add("/"+as.list(), "must be an array, not %s", kindOf(v))
		}
		for i, one := range list[:min(len(list), maxFaults)] {
			r.entry(element("/"+as.list(), i), one, as)
		}
	}
	if len(given) > 0 {
		r.leftOut(given)
		r.few(given)
	}
}

func plainName(name string) string { return strings.ToLower(roster.CleanName(name)) }

// entry is one person of a list. Its faults are found as of the person alone.
func (r *roles) entry(at string, v any, as Role) {
	given, ok := v.(map[string]any)
	name, named := given["name"].(string)
	if !ok || !named {
		ObjectAt(at, v, r.faults).NeedText("name")
		return
	}
	if _, twice := r.is[plainName(name)]; twice {
		r.faults.Wrong(at+"/name", message.Faulty(roster.Fault{Kind: roster.FaultTwice, Value: name}))
		return
	}
	r.is[plainName(name)] = as
	doc := maps.Clone(given)
	doc["leader"], doc["crew"] = as == RoleLeader, as == RoleCrew
	var found Faults
	if have := r.person(name); have != nil {
		r.change.Update = append(r.change.Update, ReadPersonChange(r.t, have, doc, r.now, &found))
	} else {
		p := PersonReader{Units: r.t.Units, Faults: &found, Now: r.now}.Booked(doc)
		found.JudgePerson(r.t, p)
		FreeLabels(r.t, p, &found)
		r.change.Add = append(r.change.Add, p)
	}
	for _, one := range found.List {
		one.Pointer = at + one.Pointer
		r.faults.List = append(r.faults.List, one)
	}
}

func (r *roles) person(name string) *roster.Person {
	i := slices.IndexFunc(r.t.People, func(p *roster.Person) bool {
		return !p.Erased && p.Left.IsZero() && plainName(p.Name) == plainName(name)
	})
	if i < 0 {
		return nil
	}
	return r.t.People[i]
}

// leftOut makes divers of those who were in a list that was given, and are in none.
func (r *roles) leftOut(given map[Role]bool) {
	no := false
	for _, p := range r.t.People {
		_, listed := r.is[plainName(p.Name)]
		if given[RoleOf(p)] && !listed && !p.Erased && p.Left.IsZero() {
			r.change.Update = append(r.change.Update, conversation.PersonChange{Person: p.ID, Leader: &no, Crew: &no})
		}
	}
}

// few faults a trip with no leader, or too many, and one with too many divers.
func (r *roles) few(given map[Role]bool) {
	leaders, divers := 0, 0
	for _, as := range r.is {
		if as == RoleLeader {
			leaders++
		}
	}
	for _, p := range r.t.People {
		_, listed := r.is[plainName(p.Name)]
		switch {
		case listed || p.Erased || !p.Left.IsZero():
		case p.Leader && !given[RoleLeader]:
			leaders++
		case !p.Leader && (!p.Crew || given[RoleCrew]), p.Leader:
			divers++
		}
	}
	if leaders < 1 || leaders > roster.MaxLeaders {
		r.number("/leaders", roster.FaultLeaders, leaders, roster.MaxLeaders)
	}
	if divers > roster.MaxDivers {
		r.number("", roster.FaultDivers, divers, roster.MaxDivers)
	}
}

func (r *roles) number(at string, kind roster.FaultKind, n, most int) {
	r.faults.Wrong(at, message.Faulty(roster.Fault{Kind: kind, Value: strconv.Itoa(n), Least: "1",
		Most: strconv.Itoa(most)}))
}
