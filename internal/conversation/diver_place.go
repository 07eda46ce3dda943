package conversation

import (
	"slices"
	"strings"

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
		if c := only(filter(t.current(t.me()), func(c *roster.Cylinder) bool { return c.Asked == p.Asked })); c != "" {
			return c, false
		}
	}
	if p.How != howUnknown { // "no, 31.4", "again 31.4": of the cylinder that was just read, signed or not
		return t.lastCylinder(), false
	}
	return t.meantAlone(), false
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
	return only(filter(t.current(t.me()), func(c *roster.Cylinder) bool { return !taken[c.ID] }))
}

// lastCylinder is the cylinder of the acting person's newest reading, taken
// back or not: the one that "no, 31.4" is about.
func (t *turn) lastCylinder() roster.CylinderID {
	if c, _ := t.lastReading(true); c != nil && c.Retired.IsZero() {
		return c.ID
	}
	return "" // changed for another one since: it is for nobody until that is asked
}

// lastReading is the newest reading that the acting person entered for a
// cylinder of their own, also one that was changed for another since.
func (t *turn) lastReading(undoneToo bool) (*roster.Cylinder, *roster.Reading) {
	var cylinder *roster.Cylinder
	var last *roster.Reading
	for _, c := range t.me().Cylinders {
		for _, r := range c.Readings {
			if r.By != t.me().ID || (!undoneToo && !r.Undone.IsZero()) {
				continue
			}
			if last == nil || r.Nth > last.Nth {
				cylinder, last = c, r
			}
		}
	}
	return cylinder, last
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
	choices := t.choices(d)
	if p.Label != "" {
		question = message.Loud("diver.which.unknown-label", message.Args{
			"label": message.Name(p.Label), "percent": message.Percent(p.Percent)})
		if bare := filter(choices, func(c *roster.Cylinder) bool { return c.Label == "" }); len(bare) > 0 {
			choices = bare
		}
	}
	t.closeQuestion(d.Question, true)
	d.Question = t.openQuestion(roster.QuestionWhich, p.Percent, choices)
	m := message.Message{Lines: []message.Line{question}, Buttons: t.cylinderButtons("which", choices, d.Question)}
	if len(d.Kept) == 0 {
		m.Lines = append(m.Lines, message.Say("diver.doubt.nothing-yet", nil))
	}
	m.Buttons = append(m.Buttons, oneButton("which new", message.Say("diver.which.new", nil)), backButton(d.Question))
	t.ask(stateWhich, whichData{d, i}, m)
}

// choices are the cylinders that a number may be meant for: those that the
// other readings of the message leave.
func (t *turn) choices(d pendings) []*roster.Cylinder {
	left := filter(t.current(t.me()), func(c *roster.Cylinder) bool {
		read := slices.ContainsFunc(c.Readings, func(r *roster.Reading) bool { return slices.Contains(d.Kept, r.ID) })
		return !read && !slices.ContainsFunc(d.Items, func(p pending) bool { return p.Cylinder == c.ID })
	})
	if len(left) > 0 {
		return left
	}
	return t.myCylinders()
}

func whichPressed(t *turn, args []string) {
	if argument(args, 0) == "new" {
		t.done()
		t.newCylinder("")
		return
	}
	q, open := t.questionBy(argument(args, 1))
	if !open {
		t.questionGone()
		return
	}
	t.whichIs(t.mine(roster.CylinderID(argument(args, 0))), q)
}

// whichIs takes the answer to a question: for what waits in the session, or if
// that was dropped for the number that the trip keeps.
func (t *turn) whichIs(c *roster.Cylinder, q question) {
	var d whichData
	if t.session.State == stateWhich {
		t.data(&d)
	}
	if d.Pending.Question != q.ID || d.Item >= len(d.Pending.Items) {
		d = whichData{Pending: t.pendingOf(q)}
	}
	if c == nil {
		t.questionGone()
		return
	}
	p := &d.Pending.Items[d.Item]
	p.Cylinder, p.NewLabel = c.ID, p.Label != "" && !sameLabel(p.Label, c.Label)
	t.take(d.Pending)
}

// whichTyped takes a label, the dive's number or a blend as the answer; a number
// alone is of the label that was not known; anything else is taken as if nothing
// was asked.
func whichTyped(t *turn, text string) {
	var d whichData
	t.data(&d)
	q, open := t.questionBy(d.Pending.Question)
	if c := t.cylinderNamed(text); c != nil && open {
		t.whichIs(c, q)
		return
	}
	if label := d.label(); label != "" && open {
		if r := t.parse(text, 0); alone(r) {
			t.takeLabelled(r, label, "", d.Pending.Question)
			return
		}
	}
	t.freely(text)
}

// label is the one that was said and is not known, "" for none.
func (d whichData) label() string {
	if d.Item >= len(d.Pending.Items) {
		return ""
	}
	return d.Pending.Items[d.Item].Label
}

// cylinderNamed is the acting person's cylinder that a short answer names.
func (t *turn) cylinderNamed(text string) *roster.Cylinder {
	if c := t.labelledMine(text); c != nil {
		return c
	}
	if r := t.parse(text, 0); r.Label != "" {
		return t.labelledMine(r.Label)
	}
	return t.ofDive(text)
}

// ofDive is the acting person's only cylinder of the dive that "dive 2" names.
func (t *turn) ofDive(text string) *roster.Cylinder {
	n, ok := t.diveTyped(text)
	if !ok || onlyDigits(strings.TrimSpace(text)) { // "2" may be the second of the buttons
		return nil
	}
	return t.mine(only(filter(t.current(t.me()), func(c *roster.Cylinder) bool { return c.Dive == n })))
}
