package conversation

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Requests that a changed plan makes too rich: nobody has analysed anything
// yet, so no verdict changes, but divers, leaders and the shop must know
// before the fill.

// tooRich are the cylinders in use, not analysed yet, whose request is too
// rich for its dive.
func tooRich(t *turn, trip *roster.Trip) map[roster.CylinderID]bool {
	bad := map[roster.CylinderID]bool{}
	for _, p := range trip.People {
		if !p.Dives() {
			continue
		}
		for _, c := range t.current(p) {
			if !c.Asked.Known() || t.read(c) {
				continue
			}
			for _, f := range trip.Preview(p.ID, c.ID, c.Asked, t.now).Findings {
				if f.Severity == gas.Stop && (f.Rule == gas.RuleDepth || f.Rule == gas.RuleContingency) {
					bad[c.ID] = true
				}
			}
		}
	}
	return bad
}

// newlyTooRich are each person's cylinders whose request became too rich.
func (t *turn) newlyTooRich(before map[roster.CylinderID]bool) map[roster.PersonID][]*roster.Cylinder {
	rich, now := map[roster.PersonID][]*roster.Cylinder{}, tooRich(t, t.trip.Trip)
	for _, p := range t.trip.People {
		for _, c := range p.InUse() {
			if now[c.ID] && !before[c.ID] {
				rich[p.ID] = append(rich[p.ID], c)
			}
		}
	}
	return rich
}

// tellTooRich tells the divers whose request became too rich, and returns a
// line for the leaders, an empty one when there is nobody.
func (t *turn) tellTooRich(before map[roster.CylinderID]bool) message.Line {
	rich := t.newlyTooRich(before)
	people := filterPeople(t.trip.People, rich)
	for _, p := range people {
		if m := t.tooRichNews(p, rich[p.ID]); canBeTold(p) {
			t.tell(p.ID, roster.LevelWord, true, m)
		}
	}
	return tooRichLine("requests.too-rich", len(people), t.names(people))
}

// tooRichNews tells a diver of requests that became too rich.
func (t *turn) tooRichNews(p *roster.Person, cs []*roster.Cylinder) message.Message {
	var m message.Message
	for _, c := range cs {
		lines, buttons := t.requestLines(p, c)
		m.Lines, m.Buttons = append(m.Lines, lines...), append(m.Buttons, buttons...)
	}
	return m
}

func tooRichLine(key string, n int, names message.Value) message.Line {
	if n == 0 {
		return message.Line{}
	}
	return message.Loud(key, message.Args{"count": message.Count(n), "names": names})
}

// wouldBeTooRich says whose requests a changed trip would make too rich.
func (t *turn) wouldBeTooRich(changed *roster.Trip) message.Line {
	before, after := tooRich(t, t.trip.Trip), tooRich(t, changed)
	var people []*roster.Person
	for _, p := range t.trip.People {
		for _, c := range p.InUse() {
			if after[c.ID] && !before[c.ID] {
				people = append(people, p)
				break
			}
		}
	}
	return tooRichLine("requests.would-be-too-rich", len(people), t.names(people))
}
