package conversation

import (
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Numbers that can't be taken as they are: they are asked about, one at a
// time, and nothing of the message is recorded. The question may show what was
// probably meant, but the number comes from the diver's fingers again. A number
// that may have been said of a cylinder leaves it not cleared until then.

// doubt asks about the first thing that was unclear.
func (t *turn) doubt(r reply.Result) {
	t.done()
	d := r.Unclear[0]
	switch {
	case d.Why == reply.NotNumber && r.Keeping && t.askKeptAgain():
	case d.Why == reply.NotNumber:
		t.notUnderstood()
	case !t.mayRead():
	case d.Why == reply.LabelOrReading && d.Label == "":
		t.askMeaningOf(d, t.labelWanted())
	case d.Why == reply.LabelOrReading, d.Why == reply.AirOrReading:
		t.askMeaning(d)
	case d.Why == reply.Blend:
		t.askBlend(d)
	case d.Why == reply.Range:
		t.askConfirm(d)
	default:
		t.askNumberAgain(d, r)
	}
	t.holdOthers(r)
}

// noReading are the doubts about numbers that can't be what an analyser shows.
var noReading = map[reply.Doubtful]bool{reply.Pressure: true, reply.OtherUnit: true, reply.Blend: true,
	reply.NotNumber: true}

// askNumberAgain asks for the bare number.
func (t *turn) askNumberAgain(d reply.Doubt, r reply.Result) {
	data := retypeData{Cylinder: t.idOf(d.Label)}
	m := message.Message{Lines: t.doubtLines(d, r)}
	if d.Others {
		m.Lines = append(m.Lines, message.Say("diver.doubt.others", message.Args{"leader": t.leaderNames()}))
	}
	if !noReading[d.Why] {
		p, _ := reply.Percent(d.Text)
		data.Question = t.openQuestion(roster.QuestionSlip, p, t.meant(d.Label))
		m.Buttons = append(m.Buttons, backButton(data.Question))
	}
	data.Unsaid = orders.Clip(t.event.Text, longestWords)
	m.Buttons = append(m.Buttons, t.helpButton())
	t.ask(stateRetype, data, m)
}

func (t *turn) doubtLines(d reply.Doubt, r reply.Result) []message.Line {
	a := message.Args{"text": message.Name(d.Text)}
	if d.Suggest.Known() {
		a["suggest"] = message.Percent(d.Suggest)
	}
	key := "diver.doubt." + string(d.Why)
	if (d.Why == reply.Fraction || d.Why == reply.Slip) && d.Suggest.Known() {
		key += ".suggest"
	}
	lines := []message.Line{message.Loud(key, a), message.Say("diver.doubt.do", nil)}
	if len(r.Readings) > 0 || len(r.Unclear) > 1 {
		lines = append(lines, message.Say("diver.doubt.all", nil))
	}
	return lines
}

// idOf is the id of the acting person's cylinder of that label, "" for none.
func (t *turn) idOf(label string) roster.CylinderID {
	if c := t.labelledMine(label); c != nil {
		return c.ID
	}
	return ""
}

// stateRetype waits for the number of a certain cylinder ("" when not certain).
const stateRetype State = "diver.retype"

type retypeData struct {
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	Question string            `json:"question,omitempty"` // that the number answers
	unsaidData
}

// retypeTyped gives a bare number to the cylinder that was asked for.
func retypeTyped(t *turn, text string) {
	var d retypeData
	t.data(&d)
	t.forCylinder(d, t.parse(text, 0))
}

// forCylinder gives a bare number to the cylinder that was asked for; anything
// else is heard as if nothing was asked, and what was asked stays open.
func (t *turn) forCylinder(asked retypeData, r reply.Result) {
	c := asked.Cylinder
	t.done()
	if r.Was.Known() { // it says itself what it is the answer to
		t.heard(r)
		return
	}
	if len(r.Readings) == 1 && barely(r.Readings[0]) && c == "" && asked.Question != "" && len(r.Unclear) == 0 {
		t.takeFor(r, t.meantAlone(), asked.Question)
		return
	}
	if t.mine(c) == nil || len(r.Unclear) > 0 || len(r.Readings) != 1 || !barely(r.Readings[0]) {
		t.heard(r)
		return
	}
	t.takeFor(r, c, asked.Question)
}

// takeFor takes one number for a cylinder, as the answer to a question.
func (t *turn) takeFor(r reply.Result, c roster.CylinderID, question string) {
	if !t.mayRead() {
		return
	}
	d := t.pendingsOf(r)
	d.Items[0].Cylinder, d.Question = c, question
	t.take(d)
}

// barely tells whether a reading came without any word on its cylinder.
func barely(r reply.Reading) bool {
	return r.Label == "" && r.Dive == 0 && !r.Asked.Known() && !r.Both
}

// stateConfirm waits for an implausible number to be typed again.
const stateConfirm State = "diver.confirm"

type confirmData struct {
	Percent  gas.Percent       `json:"percent"`
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	Question string            `json:"question,omitempty"`
}

func (t *turn) askConfirm(d reply.Doubt) {
	p, err := reply.Percent(d.Text)
	if err != nil {
		p = d.Suggest
	}
	data := confirmData{Percent: p, Cylinder: t.idOf(d.Label),
		Question: t.openQuestion(roster.QuestionRange, p, t.meant(d.Label))}
	t.ask(stateConfirm, data, message.Message{Lines: []message.Line{
		message.Loud("diver.doubt.range", message.Args{"text": message.Name(d.Text)}),
		message.Say("diver.doubt.range.do", nil)},
		Buttons: [][]message.Button{backButton(data.Question)}})
}

func confirmTyped(t *turn, text string) {
	var d confirmData
	t.data(&d)
	r := t.parse(text, d.Percent)
	if r.Intent == reply.Yes && len(r.Readings) == 0 && len(r.Unclear) == 0 {
		t.say(message.Say("diver.doubt.range.do", nil)) // a yes is no number
		return
	}
	t.forCylinder(retypeData{Cylinder: d.Cylinder, Question: d.Question}, r)
}

// stateMeaning waits for what a number is that could be two things.
const stateMeaning State = "diver.meaning"

type meaningData struct {
	Percent  gas.Percent       `json:"percent"`
	Text     string            `json:"text"`               // as typed: the label, if it is one
	Label    string            `json:"label,omitempty"`    // the cylinder that it was said for
	Cylinder roster.CylinderID `json:"cylinder,omitempty"` // the same, where only the trip kept it
	Air      bool              `json:"air,omitempty"`      // it may be of fresh air, and is no label
	Ref      string            `json:"ref,omitempty"`
	At       time.Time         `json:"at"`
	// Question is open while it may be the number of a cylinder.
	Question string `json:"question,omitempty"`
	unsaidData
}

// takeLabelled takes a number for the label that was said before it, which may be the
// new one of a cylinder that has none.
func (t *turn) takeLabelled(r reply.Result, label string, c roster.CylinderID, question string) {
	t.done()
	if !t.mayRead() {
		return
	}
	d := t.pendingsOf(r)
	d.Items[0].Label, d.Question = label, question
	if t.takesLabel(c, label) {
		d.Items[0].Cylinder, d.Items[0].NewLabel = c, true
	}
	t.take(d)
}

// takesLabel tells whether a cylinder of the acting person's has no label yet, and a
// label is that of none of theirs.
func (t *turn) takesLabel(c roster.CylinderID, label string) bool {
	to := t.mine(c)
	return to != nil && to.Label == "" && t.labelledMine(label) == nil
}

// labelFor gives a cylinder that has none its label, and asks for its number.
func (t *turn) labelFor(c roster.CylinderID, label string) {
	if !t.takesLabel(c, label) || !t.mayRead() {
		t.labelAlone(label)
		return
	}
	t.trip.SetLabel(c, label, t.me().ID, t.now)
	t.askNumber(t.mine(c))
}

// labelAlone asks for the number of a cylinder that was named without one.
func (t *turn) labelAlone(label string) {
	if !t.mayRead() {
		return
	}
	id, isNew := t.placeByLabel(label)
	c := t.mine(id)
	if c == nil || (isNew && !usableLabel(label)) {
		t.send(t.expecting(message.Loud("diver.label.unknown", message.Args{"label": message.Name(label)})))
		return
	}
	if isNew {
		t.trip.SetLabel(c.ID, label, t.me().ID, t.now)
	}
	t.askNumber(t.mine(id))
}

// askNumber asks what the analyser shows for a cylinder.
func (t *turn) askNumber(c *roster.Cylinder) {
	t.ask(stateRetype, retypeData{Cylinder: c.ID}, message.Message{Lines: []message.Line{
		message.Loud("diver.number", message.Args{"cylinder": t.called(c)}), message.Say("diver.number.do", nil)}})
}

// askBlend asks back on a blend's name: what was ordered is no reading. As
// long as the shop fills, it may have been meant as a change of the request.
func (t *turn) askBlend(d reply.Doubt) {
	m := message.Message{Lines: []message.Line{
		message.Loud("diver.doubt.blend", message.Args{"text": message.Name(d.Text)}),
		message.Say("diver.doubt.blend.do", nil)}}
	blend, err := reply.Percent(d.Text)
	if c := t.mine(only(t.requestable())); c != nil && err == nil && blend != c.Asked && whole(blend) {
		m.Buttons = append(m.Buttons, t.askButton(c, blend, "diver.request.change"))
	}
	m.Buttons = append(m.Buttons, t.helpButton())
	passed := unsaidData{orders.Clip(t.event.Text, longestWords)}
	t.ask(stateRetype, retypeData{Cylinder: t.idOf(d.Label), unsaidData: passed}, m)
}
