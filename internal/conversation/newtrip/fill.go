package newtrip

import (
	"strconv"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/when"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Problem is what is wrong with one field of a form that was filled in on a page.
type Problem struct {
	Field string
	Line  message.Line
}

// FormDives is how many dives a page's form has room for.
const FormDives = 3

// Fill reads a form that was filled in at once. get gives a field by its name: zone,
// units, day, clock, analysers, and of dive N siteN, depthN, bottomN ("none" for no
// bottom), minutesN, intervalN. A dive without any of them is none.
func (f *Form) Fill(d Desk, get func(string) string) []Problem {
	var found []Problem
	take := func(field string, read func(string) message.Line) {
		if line := read(get(field)); line.Key != "" {
			found = append(found, Problem{field, wrongIn(field, strings.TrimSpace(get(field)), line)})
		}
	}
	take("zone", func(s string) message.Line { return f.takeZone(d, s) })
	take("units", func(s string) message.Line { return f.takeUnit(d, s) })
	if f.Zone != "" {
		take("clock", func(s string) message.Line { return f.fillWhen(d, get("day"), s) })
	}
	for n := 1; n <= FormDives; n++ {
		at := func(name string) string { return name + strconv.Itoa(n) }
		if strings.TrimSpace(get(at("site"))+get(at("depth"))+get(at("minutes"))) == "" && n > 1 {
			continue
		}
		dive := f.another()
		take(at("site"), func(s string) message.Line { return dive.fillSite(s) })
		take(at("depth"), func(s string) message.Line { return f.fillDepth(dive, s) })
		take(at("bottom"), func(s string) message.Line { return f.fillBottom(dive, s) })
		take(at("minutes"), func(s string) message.Line { return dive.fillMinutes(s) })
		if n > 1 {
			take(at("interval"), func(s string) message.Line { return dive.setInterval(s, "en") })
		}
	}
	take("analysers", func(s string) message.Line { return f.takeAnalysers(strings.Fields(s)) })
	f.Whole = true
	return found
}

// wrongIn says where something is wrong, and what would be accepted there.
func wrongIn(field, typed string, line message.Line) message.Line {
	name := strings.TrimRight(field, "0123456789")
	dive, _ := strconv.Atoi(field[len(name):])
	if known := map[string]string{"zone": "time_zone", "clock": "departs_at"}[name]; known != "" {
		name = known
	}
	if line.Key == "newtrip.unclear" || line.Key == "newtrip.zone-unknown" {
		line = accepted(name, typed)
	}
	return message.AtField(dive, name, line)
}

func accepted(name, typed string) message.Line {
	kind := map[string]roster.FaultKind{"time_zone": roster.FaultZone, "departs_at": roster.FaultMoment,
		"bottom": roster.FaultBottom, "units": roster.FaultWords}[name]
	switch {
	case name == "departs_at" && typed == "":
		return message.Say("fault.missing.departs", nil)
	case typed == "":
		return message.Faulty(roster.Fault{Kind: roster.FaultMissing})
	case kind != "":
		return message.Faulty(roster.Fault{Kind: kind, Value: typed, Most: "m, ft"})
	}
	return message.Say("fault.number", message.Args{"value": message.Typed(typed)})
}

func (f *Form) fillWhen(d Desk, day, clock string) message.Line {
	loc, err := roster.Zone(f.Zone)
	if err != nil {
		return unclear(f.Zone)
	}
	said, rest := when.Read(strings.Fields(day+" "+clock), message.Match(d.Language), d.Now.In(loc))
	if said.Day.IsZero() || said.Clock < 0 || len(rest) > 0 {
		return unclear(strings.TrimSpace(day + " " + clock))
	}
	return f.setWhen(said, d.Now)
}

func (d *Dive) fillSite(s string) message.Line {
	d.Site = cut(roster.CleanName(s))
	if d.Site == "" {
		return unclear("?")
	}
	return message.Line{}
}

// fillDepth reads a bare number in the form's unit, or one with a unit of its own.
func (f *Form) fillDepth(dive *Dive, s string) message.Line {
	if !startsWithDigit(strings.TrimSpace(s)) {
		return unclear(s)
	}
	plan, _, problem := orders.ReadDive(dive.Dive, s, f.unit())
	if problem.Key != "" || plan.Site != dive.Site || !plan.Depth.Known() {
		return orUnclear(problem, s)
	}
	dive.Dive = plan
	return f.tooDeep(dive)
}

func orUnclear(problem message.Line, typed string) message.Line {
	if problem.Key != "" {
		return problem
	}
	return unclear(typed)
}

// fillBottom reads a depth, "none", or nothing for not known.
func (f *Form) fillBottom(dive *Dive, s string) message.Line {
	s, dive.Bottomed = strings.TrimSpace(s), true
	if s == "" {
		return message.Line{}
	}
	plan, bottom, problem := orders.ReadDive(dive.Dive, "bottom "+s, f.unit())
	if problem.Key != "" || !bottom || plan.Site != dive.Site {
		return orUnclear(problem, s)
	}
	dive.Dive = plan
	return message.Line{}
}

func (d *Dive) fillMinutes(s string) (problem message.Line) {
	d.Minutes, problem = orders.ReadMinutes(s, orders.LongestDive)
	return problem
}
