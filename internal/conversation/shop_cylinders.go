package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What the shop does to cylinders: requests, fills, its own analyses.

// changeCylinders makes a person's requests those given. A cylinder that is
// named by its id keeps its readings; one that is not given any more goes out
// of use, its readings stay in the record.
func (t *turn) changeCylinders(p *roster.Person, wanted []*roster.Cylinder) []message.Line {
	var lines []message.Line
	for _, c := range p.InUse() {
		if !slices.ContainsFunc(wanted, func(w *roster.Cylinder) bool { return w.ID == c.ID }) {
			lines = append(lines, message.Say("shop.cylinder-gone", message.Args{"cylinder": message.Of(cylinderName(c)),
				"name": t.nameOf(p.ID), "count": message.Count(len(c.Readings))}))
			t.trip.Retire(c.ID, "", "", t.now)
		}
	}
	for _, w := range wanted {
		lines = append(lines, t.changeCylinder(p, w)...)
	}
	return lines
}

func (t *turn) changeCylinder(p *roster.Person, w *roster.Cylinder) []message.Line {
	owner, c := t.trip.Cylinder(w.ID)
	fresh := c == nil || owner.ID != p.ID
	if fresh {
		c = t.trip.AddCylinder(p.ID, w.Dive, w.Asked, "", "", t.now)
	}
	changed := fresh || c.Asked != w.Asked || c.Dive != w.Dive
	t.trip.SetAsked(c.ID, w.Asked, "", t.now)
	if w.Label != "" {
		t.trip.SetLabel(c.ID, w.Label, "", t.now)
	}
	if c.Dive != w.Dive {
		t.trip.MoveCylinder(c.ID, w.Dive, "", t.now)
	}
	if c = t.cylinder(c.ID); c.Size != w.Size || c.Owner != w.Owner {
		edited := t.trip.EditCylinder(c.ID)
		edited.Size, edited.Owner = w.Size, w.Owner
	}
	c = t.cylinder(c.ID)
	if !changed {
		return nil
	}
	return []message.Line{message.Say("shop.cylinder", message.Args{"cylinder": message.Of(cylinderName(c)),
		"name": t.nameOf(p.ID), "asked": message.Blend(c.Asked), "dive": message.Count(c.Dive)})}
}

// shopCylinders is what the shop does to cylinders: locking the fill list,
// fills, and its own readings. It returns what leaders hear of it, and their divers.
func (t *turn) shopCylinders(c Change) (news []message.Line, own []roster.Said) {
	if c.Lock && t.trip.FillLocked.IsZero() {
		t.trip.LockFills("", t.now)
	}
	for _, id := range c.Filled {
		line, told := t.shopFilled(id, c.FilledAt)
		news, own = append(news, line...), append(own, told...)
	}
	if r := c.Reading; r != nil {
		news = append(news, t.shopRead(*r)...)
	}
	if c.Undo != "" {
		news = append(news, t.shopUndo(c.Undo)...)
	}
	return news, own
}

// shopFilled notes a fill. Only one that makes readings void is news.
func (t *turn) shopFilled(id roster.CylinderID, at time.Time) ([]message.Line, []roster.Said) {
	p, c := t.trip.Cylinder(id)
	if c == nil {
		return nil, nil
	}
	counting := func() int { return len(t.trip.Evidence(id, t.now).Counting) }
	before := counting()
	t.trip.Fill(id, at, "", t.now)
	c = t.cylinder(id)
	void := before - counting()
	if void == 0 {
		return nil, nil
	}
	a := message.Args{"who": t.nameOf(""), "cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID),
		"count": message.Count(void)}
	return []message.Line{message.Say("shop.filled", a)}, keptLines(p.ID, []message.Line{message.Loud("refilled.told", a)})
}

// shopRead records the shop's own analysis. It is held against the diver's by
// the repeat rule and never stands in for it.
func (t *turn) shopRead(s ShopReading) []message.Line {
	if _, c := t.trip.Cylinder(s.Cylinder); c == nil {
		return nil
	}
	r := t.trip.Record(s.Cylinder, roster.Reading{Percent: s.Percent, At: s.At, Analyser: s.Analyser,
		Initials: s.Initials, Entrant: gas.ByShop}, t.now)
	p, c := t.trip.Cylinder(s.Cylinder)
	t.newReading(p, c, r)
	said := []message.Line{message.Say("shop.read",
		message.Args{"cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID),
			"percent": message.Percent(s.Percent)})}
	if t.owesReading(p, c) {
		said = append(said, message.Say("shop.read.owed", message.Args{"name": t.nameOf(p.ID)}))
	}
	return said
}

// owesReading tells whether a cylinder still has to be analysed by its diver: not where
// readings disagree, which asks for a witness.
func (t *turn) owesReading(p *roster.Person, c *roster.Cylinder) bool {
	cl := t.clearance(p.ID, c.Dive)
	return cl.Active && slices.ContainsFunc(cl.Owes, func(o roster.Owed) bool {
		return o.Cylinder == c.ID && o.Why == roster.NeedReading
	})
}

// shopUndo takes the shop's own analysis back. Anybody else's stays.
func (t *turn) shopUndo(id roster.ReadingID) []message.Line {
	c, r := t.trip.Reading(id)
	if r == nil || r.Entrant != gas.ByShop || !t.trip.Undo(id, "", t.now) {
		return nil
	}
	p, c := t.trip.Cylinder(c.ID)
	return []message.Line{message.Say("shop.unread",
		message.Args{"cylinder": message.Of(cylinderName(c)), "name": t.nameOf(p.ID),
			"percent": message.Percent(r.Percent)})}
}
