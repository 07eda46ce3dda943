package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// What the shop changes on a trip. Everybody whom a change affects is told;
// verdicts that changed are told by Step, as after any event. Leaders hear in
// one message what was done.

// shopChanged applies what the shop asked of the trip and tells everybody
// whom it affects.
func (t *turn) shopChanged(c Change) {
	before := tooRich(t, t.trip)
	var news []message.Line // for the leaders
	if c.Name != nil && *c.Name != t.trip.Name {
		t.trip.Rename(*c.Name, "", t.now)
		t.tellAll(message.Message{Lines: []message.Line{message.Say("shop.renamed", message.Args{"trip": message.Name(*c.Name)})}})
	}
	if c.Departs != nil {
		t.moveDeparture(*c.Departs)
	}
	if c.Dives != nil {
		t.changeDives(c.Dives)
	}
	if c.Policy != nil && *c.Policy != t.trip.Policy {
		t.changePolicy(*c.Policy)
	}
	news = append(news, t.addPeople(c.Add)...)
	for _, u := range c.Update {
		news = append(news, t.updatePerson(u)...)
	}
	news = append(news, t.removePeople(c.Remove)...)
	news = append(news, t.shopCylinders(c)...)
	news = append(news, t.revoke(c.Revoke)...)
	if c.Announce {
		t.announce()
	}
	if requests := t.tellTooRich(before); requests.Key != "" {
		news = append(news, requests)
	}
	if len(news) > 0 {
		t.tellLeaders(message.Message{Lines: append([]message.Line{message.Loud("shop.news", nil)}, news...)})
	}
	if c.Broadcast != "" {
		t.broadcast(c.Broadcast)
	}
	if c.Unheard {
		t.tellLeaders(message.Message{Lines: []message.Line{message.Loud("shop.unheard", nil), message.Say("shop.unheard.do", nil)}})
	}
	t.queueMoves()
}

func (t *turn) moveDeparture(at time.Time) {
	was := t.trip.Departs
	if at.Equal(was) {
		return
	}
	t.trip.SetDeparture(at, "", t.now)
	t.tellAll(message.Message{Lines: []message.Line{
		message.Loud("shop.departs", message.Args{"departs": message.Moment(t.trip.Departs, t.trip.Zone)}),
		message.Say("shop.departed", message.Args{"was": message.Moment(was, t.trip.Zone)}),
	}})
}

// changeDives makes the trip's dives those given: changed ones keep what was
// dived, new ones are added at the end, the rest is dropped. A dive that still
// has cylinders or a signature can't be dropped and stays.
func (t *turn) changeDives(dives []roster.Dive) {
	was := slices.Clone(t.trip.Dives)
	if !t.trip.SetDives(dives, "", "", t.now) {
		if len(dives) == 0 || len(dives) >= len(was) {
			return
		}
		t.trip.SetDives(append(slices.Clone(dives), was[len(dives):]...), "", "", t.now)
	}
	for i, now := range t.trip.Dives {
		n := i + 1
		switch {
		case n > len(was):
			t.tellAll(message.Message{Lines: []message.Line{message.Loud("shop.dive-added", message.Args{
				"dive": message.Count(n), "plan": message.Of(message.Plan(now))})}})
		case !samePlan(was[i], now) || was[i].Interval != now.Interval || was[i].Altitude != now.Altitude:
			t.tellNewPlan(n, was[i], now, "")
		}
	}
	for n := len(t.trip.Dives) + 1; n <= len(was); n++ {
		t.tellAll(message.Message{Lines: []message.Line{message.Loud("shop.dive-dropped", message.Args{
			"dive": message.Count(n), "site": message.Name(was[n-1].Site)})}})
	}
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
			t.tell(p.ID, roster.Urgent, false, message.Message{Lines: []message.Line{
				message.Loud("shop.removed.told", message.Args{"trip": message.Name(t.trip.Name)})}})
		}
		t.trip.Leave(id, "", "removed", t.now)
		t.trip.CloseInvite(id, "", t.now) // who is gone is told so where they were
		news = append(news, message.Say("shop.removed", message.Args{"name": t.nameOf(id),
			"count": message.Count(countReadings(p)), "command": message.Code("/out")}))
		t.before.left = append(t.before.left, id) // said here; not news once more
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
	t.trip.Announced = t.now
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
func (t *turn) updatePerson(u PersonChange) []message.Line {
	p := t.trip.Person(u.Person)
	if p == nil || p.Erased {
		return nil
	}
	var news []message.Line
	if u.Name != nil && *u.Name != p.Name {
		news = append(news, message.Say("shop.person-renamed", message.Args{"was": message.Name(p.Name), "name": message.Name(*u.Name)}))
		p.Name = *u.Name
		t.trip.Note(roster.Act{At: t.now, Verb: roster.VerbName, On: string(p.ID)})
	}
	if u.Card != nil && *u.Card != p.Card {
		t.trip.SetCard(p.ID, *u.Card, "", t.now)
		news = append(news, message.Say("shop.card."+string(p.Card), message.Args{"name": t.nameOf(p.ID)}))
	}
	if u.DepthLimit != nil && *u.DepthLimit != p.DepthLimit {
		t.trip.SetDepthLimit(p.ID, *u.DepthLimit, "", t.now)
		news = append(news, depthLimitLine(t.nameOf(p.ID), p.DepthLimit))
	}
	if u.Team != nil && *u.Team != p.Team {
		p.Team = *u.Team
		t.trip.Note(roster.Act{At: t.now, Verb: "team", On: string(p.ID)})
		news = append(news, teamLine(t.nameOf(p.ID), p.Team))
	}
	if u.Language != nil {
		p.Language = *u.Language
	}
	if u.Units != nil {
		p.Units = *u.Units
	}
	if u.Cylinders != nil {
		news = append(news, t.changeCylinders(p, u.Cylinders)...)
	}
	return news
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

// changeCylinders makes a person's requests those given. A cylinder that is
// named by its id keeps its readings; one that is not given any more goes out
// of use, its readings stay in the record.
func (t *turn) changeCylinders(p *roster.Person, wanted []*roster.Cylinder) []message.Line {
	var lines []message.Line
	for _, c := range p.InUse() {
		if !slices.ContainsFunc(wanted, func(w *roster.Cylinder) bool { return w.ID == c.ID }) {
			lines = append(lines, message.Say("shop.cylinder-gone", message.Args{"cylinder": message.Of(cylinderName(c)),
				"name": t.nameOf(p.ID), "count": message.Count(len(c.Valid()))}))
			t.trip.Retire(c.ID, "", "", t.now)
		}
	}
	for _, w := range wanted {
		lines = append(lines, t.changeCylinder(p, w)...)
	}
	if len(lines) > 0 {
		t.tellEach([]*roster.Person{p}, message.Message{Lines: append([]message.Line{message.Loud("shop.cylinders.told", nil)}, lines...)})
	}
	return lines
}

func (t *turn) changeCylinder(p *roster.Person, w *roster.Cylinder) []message.Line {
	owner, c := t.trip.Cylinder(w.ID)
	fresh := c == nil || owner != p
	if fresh {
		c = t.trip.AddCylinder(p.ID, w.Dive, w.Asked, "", t.now)
	}
	changed := fresh || c.Asked != w.Asked || c.Dive != w.Dive
	t.trip.SetAsked(c.ID, w.Asked, "", t.now)
	if w.Label != "" {
		t.trip.SetLabel(c.ID, w.Label, "", t.now)
	}
	c.Dive, c.Size, c.Owner = w.Dive, w.Size, w.Owner
	if !changed {
		return nil
	}
	return []message.Line{message.Say("shop.cylinder", message.Args{"cylinder": message.Of(cylinderName(c)),
		"name": t.nameOf(p.ID), "asked": message.Blend(c.Asked), "dive": message.Count(c.Dive)})}
}

// shopCylinders is what the shop does to cylinders: locking the fill list,
// fills, and its own readings.
func (t *turn) shopCylinders(c Change) []message.Line {
	var news []message.Line
	if c.Lock && t.trip.FillLocked.IsZero() {
		t.trip.LockFills("", t.now)
		news = append(news, message.Say("shop.locked", nil))
	}
	for _, id := range c.Filled {
		news = append(news, t.shopFilled(id, c.FilledAt)...)
	}
	if r := c.Reading; r != nil {
		news = append(news, t.shopRead(*r)...)
	}
	return news
}

// shopFilled notes a fill. Only one that makes readings void is news.
func (t *turn) shopFilled(id roster.CylinderID, at time.Time) []message.Line {
	p, c := t.trip.Cylinder(id)
	if c == nil {
		return nil
	}
	before := len(c.Valid())
	t.trip.Fill(id, at, "", t.now)
	void := before - len(c.Valid())
	if void == 0 {
		return nil
	}
	a := message.Args{"who": t.nameOf(""), "cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID), "count": message.Count(void)}
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("refilled.told", a)}})
	return []message.Line{message.Say("shop.filled", a)}
}

// shopRead records the shop's own analysis. It is held against the diver's by
// the repeat rule and never stands in for it.
func (t *turn) shopRead(s ShopReading) []message.Line {
	p, c := t.trip.Cylinder(s.Cylinder)
	if c == nil {
		return nil
	}
	r := t.trip.Record(s.Cylinder, roster.Reading{Percent: s.Percent, At: s.At, Analyser: s.Analyser, Entrant: gas.ByShop}, t.now)
	t.newReading(p, c, r)
	return []message.Line{message.Say("shop.read", message.Args{"cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID),
		"percent": message.Percent(s.Percent)})}
}

// broadcast passes a shop's words on, as the shop's.
func (t *turn) broadcast(text string) {
	m := message.Message{Lines: []message.Line{message.Loud("shop.says", nil), message.Say("shop.says.text",
		message.Args{"text": message.Text(text)})}}
	for _, p := range t.trip.People {
		if canBeTold(p) {
			t.tell(p.ID, roster.Bulk, false, m)
		}
	}
}
