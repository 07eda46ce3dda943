package judge

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/roster"
)

// facts are what a signature stands for. "Facts are values: plan, policy, teams, planned start; for each
// person role, status and limits, max, minutes, card, qualification, limits, out or outside; their cylinders
// for that dive; for later dives what was dived before. Not ids, people's names, labels, texts or notes."
type facts struct {
	start        time.Time
	plan, policy string
	people       []personFacts
}

// personFacts are the facts of one person, by name. The id only says whose they are.
type personFacts struct {
	id    roster.PersonID
	parts []part
}

type part struct{ name, value string }

func (f personFacts) String() string { return fmt.Sprint(f.parts) }

func (d *Day) facts(v *dive, now time.Time) facts {
	plan := v.plan
	plan.Site = strings.ToUpper(strings.Join(strings.Fields(plan.Site), "")) // how a name is written is no difference
	f := facts{start: d.start(v.number), plan: fmt.Sprint(plan), policy: fmt.Sprint(d.policy)}
	for _, p := range d.people {
		f.people = append(f.people, d.personFacts(p, v, now))
	}
	return f
}

func (d *Day) personFacts(p *person, v *dive, now time.Time) personFacts {
	f := personFacts{id: p.ID}
	add := func(name string, values ...any) { f.parts = append(f.parts, part{name, fmt.Sprint(values...)}) }
	add("role", p.role(), p.left)
	add("team", p.team())
	if !d.isDiver(p) {
		return f
	}
	l := d.look(p, v, now)
	c := l.verdict()
	add("status", c.Status)
	add("limits", l.limitsFound())
	add("max", c.MaxDepth)
	add("minutes", c.MaxMinutes)
	add("card", p.Card)
	add("qualification", d.qualification(p))
	add("leader's limits", l.own, l.team)
	add("cylinders", l.cylinderFacts())
	add("dived before", d.divedBefore(p, v, now))
	return f
}

func (l *look) limitsFound() []string {
	var found []string
	for r, s := range l.found {
		if s == Limits {
			found = append(found, string(r))
		}
	}
	slices.Sort(found)
	return found
}

// cylinderFacts are "the counting values, analysers, air points, carbon monoxide, boat answers; that one
// was changed is a fact". The same value said again is the same fact.
func (l *look) cylinderFacts() []string {
	var all []string
	for _, e := range l.evidence {
		var values []string
		for _, r := range e.counting {
			values = append(values,
				fmt.Sprintf("%.3f/%.3f/%.3f on %s air %.3f", r.value, r.rich(), r.lean(), r.analyser, r.air.value))
		}
		slices.Sort(values)
		ppm, measured := l.d.carbonMonoxide(e.place.body.real())
		all = append(all, fmt.Sprint(e.place.dive == l.v.number, e.place.changes, slices.Compact(values), ppm, measured,
			e.place.boatAnswer(l.v)))
	}
	slices.Sort(all)
	return all
}

// boatAnswer is the last answer since the check of a dive was opened.
func (q *place) boatAnswer(v *dive) Boat {
	var last Boat
	for _, w := range q.boat {
		if len(v.checks) > 0 && v.checks[len(v.checks)-1].before(w.mark) {
			last = w.answer
		}
	}
	return last
}

func (d *Day) divedBefore(p *person, v *dive, now time.Time) string {
	var before strings.Builder
	for _, e := range d.dives[:v.number-1] {
		g := d.gasOn(p, e, now)
		fmt.Fprint(&before, g, e.notDived)
		if g.any {
			fmt.Fprint(&before, d.doneBy(p, e))
		}
	}
	return before.String()
}

// firstDifference names the first fact that differs, "" when none does. "Moved by more than 60 minutes is
// another" start. People are compared as values, whatever their ids.
func (f facts) firstDifference(g facts) string {
	switch {
	case f.plan != g.plan:
		return "plan"
	case f.policy != g.policy:
		return "policy"
	case g.start.Sub(f.start).Abs() > startMoved+time.Millisecond:
		return "start"
	case slices.Equal(sorted(f.people), sorted(g.people)):
		return ""
	case len(f.people) != len(g.people):
		return "people"
	}
	for i, p := range f.people {
		for j := range p.parts {
			if j >= len(g.people[i].parts) || p.parts[j] != g.people[i].parts[j] {
				return string(p.id) + " " + p.parts[j].name
			}
		}
	}
	return "people"
}

func sorted(people []personFacts) []string {
	var list []string
	for _, p := range people {
		list = append(list, p.String())
	}
	slices.Sort(list)
	return list
}
