package conversation

import (
	"encoding/json"
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What the shop changed, in words.

// planNews is what changed of a plan for everybody.
func planNews(was, now *roster.Plan) []message.Line {
	var lines []message.Line
	if now.Name != was.Name {
		lines = append(lines, message.Say("shop.renamed", message.Args{"trip": message.Name(now.Name)}))
	}
	a := message.Args{"departs": message.Moment(now.Departs, now.Zone), "was": message.Moment(was.Departs, was.Zone)}
	switch {
	case !now.Departs.Equal(was.Departs):
		lines = append(lines, message.Loud("shop.departs", a), message.Say("shop.departed", a))
	case now.Zone != was.Zone:
		lines = append(lines, message.Loud("shop.zone", a))
	}
	return append(lines, divesNews(was.Dives, now.Dives)...)
}

// divesNews is what changed of the dives.
func divesNews(was, now []roster.Dive) []message.Line {
	var lines []message.Line
	for i, d := range now {
		a := message.Args{"dive": message.Count(i + 1), "plan": message.Of(message.Plan(d)),
			"who": message.Of(message.Say("leader.the-shop", nil))}
		switch {
		case i >= len(was):
			lines = append(lines, message.Loud("shop.dive-added", a))
		case !samePlan(was[i], d) || was[i].Interval != d.Interval || was[i].Altitude != d.Altitude:
			lines = append(lines, diveNews(i+1, was[i], d, a["who"])...)
		}
	}
	for i := len(now); i < len(was); i++ {
		lines = append(lines, message.Loud("shop.dive-dropped",
			message.Args{"dive": message.Count(i + 1), "site": message.Name(was[i].Site)}))
	}
	return lines
}

// ownNews is what a diver hears of their own cylinders. Who is told how they stand
// hears of a fill by that.
func ownNews(u *roster.Untold, p roster.PersonID, stands bool) []message.Line {
	lines := linesFor(u, p)
	if stands {
		lines = slices.DeleteFunc(lines, func(l message.Line) bool { return l.Key == "refilled.told" })
	}
	changed := slices.IndexFunc(lines, func(l message.Line) bool { return l.Key != "refilled.told" })
	if changed < 0 {
		return lines
	}
	return slices.Insert(lines, changed, message.Loud("shop.cylinders.told", nil))
}

// addLeadersNews adds what leaders alone hear, and what waits for their consent.
func (t *turn) addLeadersNews(m *message.Message, u *roster.Untold, now *roster.Plan,
	rich map[roster.PersonID][]*roster.Cylinder) {
	if own := linesFor(u, ""); len(own) > 0 {
		m.Lines = append(append(m.Lines, message.Loud("shop.news", nil)), own...)
	}
	consent := u.Consent && t.trip.Wanted.Any()
	if now.Policy != u.Was.Policy {
		m.Lines = append(m.Lines, t.policyNow("policy.changed")...) // with what waits
	} else if consent {
		m.Lines = append(m.Lines, t.wantedLines()...)
	}
	if people := filterPeople(t.trip.People, rich); len(people) > 0 {
		m.Lines = append(m.Lines, tooRichLine("requests.too-rich", len(people), t.names(people)))
	}
	if consent {
		m.Lines = append(m.Lines, message.Say("consent.ask", nil))
		m.Buttons = append(m.Buttons, t.consentButtons()...)
	}
}

// filterPeople are the people of those that something is noted of.
func filterPeople(people []*roster.Person, of map[roster.PersonID][]*roster.Cylinder) []*roster.Person {
	return slices.DeleteFunc(slices.Clone(people), func(p *roster.Person) bool { return len(of[p.ID]) == 0 })
}

// linesFor are the kept lines for one person, or for the leaders.
func linesFor(u *roster.Untold, to roster.PersonID) []message.Line {
	var lines []message.Line
	for _, s := range u.Said {
		var l message.Line
		if s.To == to && json.Unmarshal(s.Line, &l) == nil {
			lines = append(lines, l)
		}
	}
	return lines
}

// joined are the letters with those to one person made one, in their order.
func joined(letters []Letter) []Letter {
	var all []Letter
	for _, l := range letters {
		i := slices.IndexFunc(all, func(o Letter) bool {
			return o.Person == l.Person && l.Person != "" &&
				o.Group == l.Group
		})
		if i < 0 {
			all = append(all, l)
			continue
		}
		m := &all[i].Message
		m.Lines = append(slices.Clone(m.Lines), l.Message.Lines...)
		m.Buttons = append(slices.Clone(m.Buttons), l.Message.Buttons...)
	}
	return all
}
