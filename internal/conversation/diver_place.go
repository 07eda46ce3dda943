package conversation

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Which cylinder a number is for: said by label, dive or blend, or plain
// because only one can be meant. Otherwise it is asked.

// place gives each pending reading its cylinder, as far as that is certain.
func (t *turn) place(items []pending) []pending {
	items = slices.Clone(items)
	for i := range items {
		if items[i].Cylinder == "" {
			items[i].Cylinder, items[i].NewLabel = t.placeOne(items[i])
		}
	}
	for i := range items {
		if items[i].Cylinder == "" {
			items[i].Cylinder = t.onlyOneLeft(items)
			items[i].NewLabel = items[i].Cylinder != "" && items[i].Label != ""
			break
		}
	}
	return items
}

func (t *turn) placeOne(p pending) (c roster.CylinderID, newLabel bool) {
	switch {
	case p.Label != "":
		return t.placeByLabel(p.Label)
	case p.Dive > 0:
		return only(filter(t.myCylinders(), func(c *roster.Cylinder) bool { return c.Dive == p.Dive })), false
	case p.Asked.Known():
		if c := only(filter(t.myCylinders(), func(c *roster.Cylinder) bool { return c.Asked == p.Asked })); c != "" {
			return c, false
		}
	}
	if p.How != howUnknown { // "no, 31.4", "again 31.4": of the cylinder that was just read
		if c := t.lastCylinder(); c != "" {
			return c, false
		}
	}
	if c := only(t.owedCylinders()); c != "" {
		return c, false
	}
	return only(t.myCylinders()), false
}

// placeByLabel finds the cylinder of that label. A label that is new belongs
// to the only cylinder that has none yet.
func (t *turn) placeByLabel(label string) (roster.CylinderID, bool) {
	if c := t.labelledMine(label); c != nil {
		return c.ID, false
	}
	c := only(filter(t.myCylinders(), func(c *roster.Cylinder) bool { return c.Label == "" }))
	return c, c != ""
}

// onlyOneLeft is the one cylinder that remains for the one number that has
// none: the other numbers of the message name the others.
func (t *turn) onlyOneLeft(items []pending) roster.CylinderID {
	if len(items) < 2 {
		return ""
	}
	taken := map[roster.CylinderID]bool{}
	open := 0
	for _, p := range items {
		taken[p.Cylinder] = true
		if p.Cylinder == "" {
			open++
		}
	}
	if open > 1 {
		return ""
	}
	return only(filter(t.myCylinders(), func(c *roster.Cylinder) bool { return !taken[c.ID] }))
}

// lastCylinder is the cylinder of the acting person's newest reading, taken
// back or not: the one that "no, 31.4" is about.
func (t *turn) lastCylinder() roster.CylinderID {
	c, _ := t.lastReading(true)
	if c == nil {
		return ""
	}
	return c.ID
}

// lastReading is the newest reading that the acting person entered for a
// cylinder of their own.
func (t *turn) lastReading(undoneToo bool) (*roster.Cylinder, *roster.Reading) {
	var cylinder *roster.Cylinder
	var last *roster.Reading
	for _, c := range t.myCylinders() {
		for _, r := range c.Readings {
			if r.By != t.me.ID || (!undoneToo && !r.Undone.IsZero()) {
				continue
			}
			if last == nil || t.newer(r, last) {
				cylinder, last = c, r
			}
		}
	}
	return cylinder, last
}

// newer tells whether a was entered after b, by the sender's clock; but what
// was noted before ours was set back, and so lies ahead, came before what was
// noted since.
func (t *turn) newer(a, b *roster.Reading) bool {
	if ahead := a.Taken.After(t.now); ahead != b.Taken.After(t.now) {
		return !ahead
	}
	return !a.At.Before(b.At)
}

func only(cs []*roster.Cylinder) roster.CylinderID {
	if len(cs) == 1 {
		return cs[0].ID
	}
	return ""
}

func filter(cs []*roster.Cylinder, keep func(*roster.Cylinder) bool) []*roster.Cylinder {
	return slices.DeleteFunc(slices.Clone(cs), func(c *roster.Cylinder) bool { return !keep(c) })
}

// stateWhich waits for the cylinder of a number; its data is whichData.
const stateWhich State = "diver.which"

type whichData struct {
	Pending pendings `json:"pending"`
	Item    int      `json:"item"`
}

// askWhich asks for the cylinder of item i.
func (t *turn) askWhich(d pendings, i int) {
	p := d.Items[i]
	question := message.Loud("diver.which", message.Args{"percent": message.Percent(p.Percent)})
	choices := t.choices(d.Items)
	if p.Label != "" {
		question = message.Loud("diver.which.unknown-label", message.Args{
			"label": message.Name(p.Label), "percent": message.Percent(p.Percent)})
		if bare := filter(choices, func(c *roster.Cylinder) bool { return c.Label == "" }); len(bare) > 0 {
			choices = bare
		}
	}
	m := message.Message{Lines: []message.Line{question, message.Say("diver.doubt.nothing-yet", nil)},
		Buttons: t.cylinderButtons("which", choices)}
	m.Buttons = append(m.Buttons, oneButton("which new", message.Say("diver.which.new", nil)))
	t.ask(stateWhich, whichData{d, i}, m)
}

// choices are the cylinders that the other readings of the message leave;
// those that owe a reading when there are any.
func (t *turn) choices(items []pending) []*roster.Cylinder {
	free := func(c *roster.Cylinder) bool {
		return !slices.ContainsFunc(items, func(p pending) bool { return p.Cylinder == c.ID })
	}
	if owing := filter(t.owedCylinders(), free); len(owing) > 0 && items[0].Label == "" {
		return owing
	}
	if left := filter(t.myCylinders(), free); len(left) > 0 {
		return left
	}
	return t.myCylinders()
}

func whichPressed(t *turn, args []string) {
	if t.session.State != stateWhich {
		t.questionGone()
		return
	}
	if argument(args, 0) == "new" {
		t.done()
		t.newCylinder("")
		return
	}
	t.whichIs(t.mine(roster.CylinderID(argument(args, 0))))
}

func (t *turn) whichIs(c *roster.Cylinder) {
	var d whichData
	t.data(&d)
	if c == nil || d.Item >= len(d.Pending.Items) {
		t.done()
		t.questionGone()
		return
	}
	p := &d.Pending.Items[d.Item]
	p.Cylinder, p.NewLabel = c.ID, p.Label != "" && !sameLabel(p.Label, c.Label)
	t.take(d.Pending)
}

// whichTyped takes a label, the dive's number or a blend as the answer;
// anything else is taken as if nothing was asked.
func whichTyped(t *turn, text string) {
	if c := t.cylinderNamed(text); c != nil {
		t.whichIs(c)
		return
	}
	t.freely(text)
}

// cylinderNamed is the acting person's cylinder that a short answer names.
func (t *turn) cylinderNamed(text string) *roster.Cylinder {
	if c := t.labelledMine(text); c != nil {
		return c
	}
	r := t.parse(text, 0)
	if r.Label != "" {
		return t.labelledMine(r.Label)
	}
	return nil
}
