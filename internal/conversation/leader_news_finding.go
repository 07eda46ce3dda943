package conversation

import (
	"math"
	"slices"
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Findings as news for the leaders: which they hear of, what makes one new, and how it
// is said, the gravest of a clearance first.

// newsRules are the rules whose findings reach the leaders even when they are no
// no-go, by the severity from which they do.
var newsRules = map[gas.Rule]gas.Severity{
	gas.RuleAsked: gas.Note, gas.RuleRepeat: gas.Limits, gas.RuleSameCylinder: gas.Missing,
	gas.RuleSpeak: gas.Missing, gas.RuleLeft: gas.Missing, gas.RuleAirIsNotAir: gas.Note,
}

// concerns tells whether leaders have to know of a finding.
func concerns(f *gas.Finding) bool {
	least, named := newsRules[f.Rule]
	return f.Severity.Status() == gas.NoGo || named && (f.Severity == least || f.Severity.Worse(least)) &&
		f.Case != "replanned"
}

// newsOf are the findings of one clearance that leaders have to know, the
// gravest of each cylinder; the others of it are said with it.
func (t *turn) newsOf(c *roster.Clearance) []newsItem {
	if !slices.ContainsFunc(c.Verdict.Findings, func(f gas.Finding) bool { return concerns(&f) }) {
		return nil // as of most people at every event
	}
	var items []newsItem
	for _, f := range unsettledFirst(c) {
		if !concerns(&f) {
			continue
		}
		key := t.newsKey(c, &f)
		if slices.ContainsFunc(items, func(i newsItem) bool { return i.key == key }) {
			continue
		}
		items = append(items, t.findingNews(c, f, key))
	}
	return items
}

// unsettledFirst are a clearance's reasons; that readings disagree comes before any
// limit, since it can be settled.
func unsettledFirst(c *roster.Clearance) []gas.Finding {
	reasons := c.Verdict.Reasons()
	if !c.Goes() {
		return reasons
	}
	return putFirst(reasons, func(f gas.Finding) bool { return f.Rule == gas.RuleRepeat })
}

// newsKey tells findings apart by what a leader would call something new. A
// no-go of one cylinder is one thing, whatever rule found it first.
func (t *turn) newsKey(c *roster.Clearance, f *gas.Finding) string {
	place := placeOf(c, f)
	switch {
	case f.Severity.Status() == gas.NoGo && f.Cylinder != "" && t.elsewhere(c, f):
		return place + ":moved"
	case f.Severity.Status() == gas.NoGo && f.Cylinder != "":
		return place + ":no-go"
	case f.Rule == gas.RuleAsked:
		return string(c.Person) + ":" + f.Cylinder + ":asked:" + strconv.FormatFloat(math.Round(f.Measured.Value*10)/10, 'g',
			-1, 64)
	case f.Rule == gas.RuleSpeak:
		return speakKey(t.trip.Person(c.Person))
	case f.Rule == gas.RuleLeft:
		return string(c.Person) + ":" + string(f.Rule)
	case f.Rule == gas.RuleRepeat:
		return place + ":" + string(f.Rule) + ":" + strconv.FormatFloat(math.Round(f.Measured.Value*10)/10, 'g', -1, 64)
	}
	return place + ":" + string(f.Rule) + ":" + f.Case
}

// placeOf is what a finding is of: a person on a dive, and the cylinder.
func placeOf(c *roster.Clearance, f *gas.Finding) string {
	return string(c.Person) + ":" + strconv.Itoa(c.Dive) + ":" + f.Cylinder
}

// findingNews is a finding as news: who, which cylinder, why, what to do.
func (t *turn) findingNews(c *roster.Clearance, f gas.Finding, key string) newsItem {
	i := newsItem{key: key, person: c.Person, dive: c.Dive, place: placeOf(c, &f), buttons: t.newsButtons(c, &f)}
	a := message.Args{"verdict": message.Of(message.Cleared(t.trip.Trip, c)), "name": t.nameOf(c.Person)}
	head := "news.person"
	if _, cylinder := t.trip.Cylinder(roster.CylinderID(f.Cylinder)); cylinder != nil {
		head, a["cylinder"] = head+".cylinder", message.Of(t.cylinderOn(cylinder))
		if cylinder.Label == "" {
			a["cylinder"] = message.Of(scopeLine(cylinder.Dive))
		}
	}
	text, do := message.FindingForLeader(f)
	i.lines = []message.Line{message.Loud(head, a), text}
	if said := t.trip.Person(c.Person).Speak; f.Rule == gas.RuleSpeak && len(said) > 0 {
		i.lines[1] = quoted(said)
	}
	if do.Key != "" {
		i.lines = append(i.lines, do)
	}
	if f.Rule == gas.RuleAsked {
		i.shop = map[string]any{"person": c.Person, "cylinder": f.Cylinder, "asked": f.Other,
			"off": math.Round(f.Measured.Value*100) / 100}
	}
	if g, ok := decisive(c); ok && !c.Goes() && f.Severity.Status() != c.Status {
		return t.underGraver(i, c, f, g)
	}
	return i
}

// underGraver is a lesser finding below the one that makes the clearance what it is: that
// heads it, and what to do is about that.
func (t *turn) underGraver(i newsItem, c *roster.Clearance, lesser, graver gas.Finding) newsItem {
	g := t.findingNews(c, graver, t.newsKey(c, &graver))
	i.under, i.own = g.key, 2
	settles := lesser.Rule == gas.RuleRepeat && lesser.Cylinder == graver.Cylinder
	switch {
	case c.Status == gas.NotCleared:
		i.buttons = [][]message.Button{t.boardOrSign(c.Dive)}
	case !settles: // readings that disagree are watched, whatever they make of the dive
		i.buttons = g.buttons
	}
	if saidByVerdict[graver.Rule] && graver.Rule != gas.RuleSpeak {
		i.own = 1
	}
	lesser.Do = ""
	line := t.findingFor(lesser)
	if lesser.Cylinder == graver.Cylinder {
		line, _ = message.FindingForLeader(lesser)
	}
	if apart, known := line.Values.Of("measured"); settles && known {
		line = message.Say("news.apart", message.Args{"measured": apart})
	}
	i.lines = append(g.lines[:i.own:i.own], line)
	return i
}

// merged puts lesser news below the graver ones that it is said with.
func merged(items []newsItem) []newsItem {
	var all []newsItem
	for _, i := range items {
		k := slices.IndexFunc(all, func(b newsItem) bool {
			return i.under != "" && (b.key == i.under || b.under == i.under)
		})
		switch {
		case k < 0:
			all = append(all, i)
		case all[k].under == i.under:
			all[k].lines = append(slices.Clip(all[k].lines), i.lines[i.own:]...)
		default: // in place of what to do, which stands on the buttons
			all[k].lines, all[k].under = append(all[k].lines[:i.own:i.own], i.lines[i.own:]...), i.under
		}
	}
	return all
}
