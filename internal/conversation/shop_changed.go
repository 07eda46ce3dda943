package conversation

import (
	"maps"
	"slices"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// What the shop changes on a trip. Whom it affects hears of it together with
// what else the shop changes within the minute: see shop_told.go. Leaders hear in
// the same message what was done.

// shopChanged applies what the shop asked of the trip.
func (t *turn) shopChanged(c Change) {
	was, rich, waited := *t.trip.Plan, tooRich(t, t.trip.Trip), t.trip.Wanted.Any()
	t.changePlan(c)
	said := append(t.putRight(c), t.changePeople(c)...)
	asks := t.trip.Wanted.Any() && (!waited || c.Departs != nil || c.Dives != nil || c.Policy != nil)
	t.keepUntold(roster.Untold{Was: was, TooRich: slices.Sorted(maps.Keys(rich)), Consent: asks, Said: said})
	if c.CylindersReady != nil {
		t.trip.SetCylindersReady(*c.CylindersReady, t.now)
	}
	if c.Ready {
		t.trip.CylindersAreReady(t.now)
		t.timer() // at once, so that the shop sees whom it reached
	}
	if c.Announce {
		t.announce()
	}
	t.shopSays(c)
	t.queueMoves()
}

// shopSays is what the shop says rather than changes: nothing of it waits.
func (t *turn) shopSays(c Change) {
	if c.Gate != nil && *c.Gate {
		t.trip.OpenGate("", t.now)
	}
	if c.Gate != nil && !*c.Gate {
		t.trip.ShutGate("", t.now)
	}
	if c.CallOff != nil {
		t.callOff("", *c.CallOff)
	}
	if c.PutOn {
		t.putOn("")
	}
	if c.Broadcast != "" {
		t.broadcast(c.Broadcast)
	}
	if c.Unheard {
		t.tellLeaders(message.Message{Lines: []message.Line{message.Loud("shop.unheard", nil),
			message.Say("shop.unheard.do", nil)}})
	}
}

// changePlan changes what was planned.
func (t *turn) changePlan(c Change) {
	if c.Name != nil && *c.Name != t.trip.Name {
		t.trip.Rename(*c.Name, "", t.now)
	}
	switch { // in one step, so that what they come to together is looked at
	case c.Departs != nil && c.FirstDiveAfter != nil:
		t.trip.SetStart(*c.Departs, *c.FirstDiveAfter, "", t.now)
	case c.Departs != nil && !c.Departs.Equal(t.trip.Departs):
		t.trip.SetDeparture(*c.Departs, "", t.now)
	case c.FirstDiveAfter != nil:
		t.trip.SetFirstDiveAfter(*c.FirstDiveAfter, "", t.now)
	}
	if c.Dives != nil {
		t.changeDives(c.Dives)
	}
	if c.Policy != nil && *c.Policy != t.trip.Policy {
		// What is looser waits for a leader once there is a reading; the trip sees to that.
		t.trip.SetPolicy(*c.Policy, "", t.now)
	}
}

// putRight changes what was typed wrong of the trip itself. It returns what is to
// be said beside the plan.
func (t *turn) putRight(c Change) []roster.Said {
	if c.Zone != nil && *c.Zone != t.trip.Zone {
		t.trip.SetZone(*c.Zone, "", t.now)
	}
	if c.Units != nil && *c.Units != t.trip.Units {
		t.trip.SetUnits(*c.Units, "", t.now)
	}
	if c.Analysers == nil {
		return nil
	}
	t.trip.SetAnalysers(*c.Analysers, "", t.now)
	return keptLines("", []message.Line{message.Say("shop.analysers",
		message.Args{"list": message.Text(strings.Join(*c.Analysers, ", "))})})
}

// changeDives makes the trip's dives those given: changed ones keep what was
// dived, new ones are added at the end, the rest is dropped. A dive that still
// has cylinders or a signature can't be dropped and stays.
func (t *turn) changeDives(dives []roster.Dive) {
	was := slices.Clone(t.trip.Dives)
	if !t.trip.SetDives(dives, "", "", t.now) && len(dives) > 0 && len(dives) < len(was) {
		t.trip.SetDives(append(slices.Clone(dives), was[len(dives):]...), "", "", t.now)
	}
}

// changePeople changes who is on the trip, and with which cylinders. It returns
// what is to be said of it.
func (t *turn) changePeople(c Change) []roster.Said {
	news := t.addPeople(c.Add)
	var own []roster.Said
	for _, u := range c.Update {
		lines, told := t.updatePerson(u)
		news, own = append(news, lines...), append(own, told...)
	}
	news = append(news, t.removePeople(c.Remove)...)
	lines, told := t.shopCylinders(c)
	news = append(append(news, lines...), t.revoke(c.Revoke)...)
	return append(append(keptLines("", news), own...), told...)
}

func (t *turn) addPeople(people []*roster.Person) []message.Line {
	var news []message.Line
	for _, p := range people {
		t.trip.AddPerson(p, "", t.now)
		news = append(news, message.Say("shop.added", message.Args{"name": t.nameOf(p.ID)}))
	}
	return news
}

// removePeople marks people as gone. Their readings stay in the record, and
// their line on the board until a leader sits them out.
func (t *turn) removePeople(ids []roster.PersonID) []message.Line {
	var news []message.Line
	for _, id := range ids {
		p := t.trip.Person(id)
		if p == nil || !p.Left.IsZero() {
			continue
		}
		if canBeTold(p) {
			t.tell(p.ID, roster.LevelWord, false, message.Message{Lines: []message.Line{
				message.Loud("shop.removed.told", message.Args{"trip": message.Name(t.trip.Name)})}})
		}
		t.trip.Leave(id, "", "removed", t.now)
		t.trip.CloseInvite(id, "", t.now) // who is gone is told so where they were
		news = append(news, message.Say("shop.removed", message.Args{"name": t.nameOf(id),
			"count": message.Count(countReadings(p)), "command": message.Code("/out")}))
		t.saidAll[string(id)+":"+string(gas.RuleLeft)] = true // said here; not news once more
	}
	return news
}

// revoke replaces invites. Whoever came in by the old one is on the trip no
// more, and hears nothing.
func (t *turn) revoke(ids []roster.PersonID) []message.Line {
	var news []message.Line
	for _, id := range ids {
		p := t.trip.Person(id)
		if p == nil || p.Erased {
			continue
		}
		t.trip.Revoke(id, "", t.now)
		reminders.Renew(t.trip, id)
		news = append(news, message.Say("shop.revoked", message.Args{"name": t.nameOf(id)}))
	}
	return news
}

// announce sends the evening-before message at once to everybody who can be
// reached, rather than at the next beat, so that the shop's answer says to whom.
func (t *turn) announce() {
	t.trip.EditCourse().Announced = t.now
	t.trip.Note(roster.Act{At: t.now, Verb: "announce"})
	t.timer()
}

func countReadings(p *roster.Person) int {
	n := 0
	for _, c := range p.Cylinders {
		n += len(c.Readings)
	}
	return n
}

// updatePerson changes what was booked for a person.
func (t *turn) updatePerson(u PersonChange) ([]message.Line, []roster.Said) {
	p := t.trip.Person(u.Person)
	if p == nil || p.Erased {
		return nil, nil
	}
	var news []message.Line
	if u.Name != nil && *u.Name != p.Name {
		news = append(news, message.Say("shop.person-renamed",
			message.Args{"was": message.Name(p.Name), "name": message.Name(*u.Name)}))
		t.trip.Edit(p.ID).Name = *u.Name
		t.trip.Note(roster.Act{At: t.now, Verb: roster.VerbName, On: string(p.ID)})
	}
	if u.Card != nil && *u.Card != p.Card {
		t.trip.SetCard(p.ID, *u.Card, "", "", t.now)
		news = append(news, message.Say("shop.card."+string(*u.Card), message.Args{"name": t.nameOf(p.ID)}))
	}
	if u.DepthLimit != nil && *u.DepthLimit != p.DepthLimit {
		t.trip.SetDepthLimit(p.ID, *u.DepthLimit, "", "", t.now)
		news = append(news, depthLimitLine(t.nameOf(p.ID), *u.DepthLimit))
	}
	if u.Team != nil && *u.Team != p.Team {
		t.trip.SetTeam(p.ID, *u.Team, "", t.now)
		news = append(news, teamLine(t.nameOf(p.ID), *u.Team))
	}
	if u.Language != nil && *u.Language != p.Language {
		t.trip.Edit(p.ID).Language = *u.Language
	}
	if u.Units != nil && *u.Units != p.Units {
		t.trip.Edit(p.ID).Units = *u.Units
	}
	news = append(news, t.changeRole(u)...)
	if u.Cylinders == nil {
		return news, nil
	}
	changed := t.changeCylinders(t.trip.Person(p.ID), u.Cylinders)
	return append(news, changed...), keptLines(p.ID, changed)
}

// changeRole changes who leads, who is crew and who is outside this check.
func (t *turn) changeRole(u PersonChange) []message.Line {
	p := t.trip.Person(u.Person)
	var news []message.Line
	leader, crew := p.Leader, p.Crew
	if u.Leader != nil {
		leader = *u.Leader
	}
	if u.Crew != nil {
		crew = *u.Crew
	}
	if leader != p.Leader || crew != p.Crew {
		t.trip.SetRole(p.ID, leader, crew, "", t.now)
		news = append(news, message.Say("shop.role."+roleOf(leader, crew), message.Args{"name": t.nameOf(p.ID)}))
	}
	a := t.shopScope(p.ID)
	switch out := p.OutsideOf(1); {
	case u.Outside == nil:
	case *u.Outside == "" && out != nil && t.trip.EndOutside(p.ID, 0, "", t.now):
		news = append(news, message.Say("inside.by", a))
		t.tellEach([]*roster.Person{t.trip.Person(p.ID)},
			message.Message{Lines: []message.Line{message.Loud("inside.told", a)}})
	case *u.Outside != "" && out == nil && t.trip.SetOutside(p.ID, 0, "", *u.Outside, t.now):
		news = append(news, message.Say("outside.by", a))
		t.tellEach([]*roster.Person{t.trip.Person(p.ID)},
			message.Message{Lines: []message.Line{message.Loud("outside.told", a)}})
	}
	return news
}

func (t *turn) shopScope(p roster.PersonID) message.Args {
	return message.Args{"name": t.nameOf(p), "who": t.nameOf(""), "scope": message.Of(scopeLine(0))}
}

func roleOf(leader, crew bool) string {
	switch {
	case leader:
		return "leader"
	case crew:
		return "crew"
	}
	return "diver"
}

func depthLimitLine(name message.Value, d gas.Depth) message.Line {
	if !d.Known() {
		return message.Say("shop.no-depth-limit", message.Args{"name": name})
	}
	return message.Say("shop.depth-limit", message.Args{"name": name, "depth": message.Limit(d)})
}

func teamLine(name message.Value, team string) message.Line {
	if team == "" {
		return message.Say("shop.no-team", message.Args{"name": name})
	}
	return message.Say("shop.team", message.Args{"name": name, "team": message.Name(team)})
}

// broadcast passes a shop's words on, as the shop's.
func (t *turn) broadcast(text string) {
	m := message.Message{Lines: []message.Line{message.Loud("shop.says", nil), message.Say("shop.says.text",
		message.Args{"text": message.Text(text)})}}
	for _, p := range t.trip.People {
		if canBeTold(p) {
			t.tell(p.ID, roster.LevelAnnouncement, false, m)
		}
	}
}
