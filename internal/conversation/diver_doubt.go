package conversation

import (
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Numbers that can't be taken as they are: they are asked about, one at a
// time, and nothing of the message is recorded. The question may show what was
// probably meant, but the number comes from the diver's fingers again.

// doubt asks about the first thing that was unclear.
func (t *turn) doubt(r reply.Result) {
	t.done()
	d := r.Unclear[0]
	switch {
	case d.Why == reply.NotNumber:
		t.notUnderstood()
	case !t.mayRead():
	case d.Why == reply.LabelOrReading, d.Why == reply.AirOrReading:
		t.askMeaning(d)
	case d.Why == reply.Blend:
		t.askBlend(d)
	case d.Why == reply.Range:
		t.askConfirm(d)
	default:
		t.ask(stateRetype, retypeData{Cylinder: t.idOf(d.Label)}, message.Message{Lines: t.doubtLines(d, r)})
	}
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
}

// retypeTyped gives a bare number to the cylinder that was asked for.
func retypeTyped(t *turn, text string) {
	var d retypeData
	t.data(&d)
	t.forCylinder(d.Cylinder, t.parse(text, 0))
}

func (t *turn) forCylinder(c roster.CylinderID, r reply.Result) {
	t.done()
	if t.mine(c) == nil || len(r.Unclear) > 0 || len(r.Readings) != 1 || !barely(r.Readings[0]) {
		t.heard(r)
		return
	}
	if !t.mayRead() {
		return
	}
	d := t.pendingsOf(r)
	d.Items[0].Cylinder = c
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
}

func (t *turn) askConfirm(d reply.Doubt) {
	p, err := reply.Percent(d.Text)
	if err != nil {
		p = d.Suggest
	}
	t.ask(stateConfirm, confirmData{p, t.idOf(d.Label)}, message.Message{Lines: []message.Line{
		message.Loud("diver.doubt.range", message.Args{"text": message.Name(d.Text)}), message.Say("diver.doubt.range.do", nil)}})
}

func confirmTyped(t *turn, text string) {
	var d confirmData
	t.data(&d)
	r := t.parse(text, d.Percent)
	if r.Intent == reply.Yes && len(r.Readings) == 0 && len(r.Unclear) == 0 {
		t.say(message.Say("diver.doubt.range.do", nil)) // a yes is no number
		return
	}
	t.forCylinder(d.Cylinder, r)
}

// stateMeaning waits for what a number is that could be two things.
const stateMeaning State = "diver.meaning"

type meaningData struct {
	Percent gas.Percent `json:"percent"`
	Text    string      `json:"text"`            // as typed: the label, if it is one
	Label   string      `json:"label,omitempty"` // the cylinder that it was said for
	Ref     string      `json:"ref,omitempty"`
	At      time.Time   `json:"at"`
}

func (t *turn) askMeaning(d reply.Doubt) {
	p, err := reply.Percent(d.Text)
	if err != nil {
		t.notUnderstood()
		return
	}
	a := message.Args{"text": message.Name(d.Text)}
	m := message.Message{
		Lines:   []message.Line{message.Loud("diver.doubt."+string(d.Why), a), message.Say("diver.doubt.nothing-yet", nil)},
		Buttons: [][]message.Button{oneButton("mean reading", message.Say("diver.mean.reading", a))}}
	if d.Why == reply.LabelOrReading {
		m.Buttons = append(m.Buttons, oneButton("mean label", message.Say("diver.mean.label", a)))
	} else {
		m.Buttons = append(m.Buttons, oneButton("mean air", message.Say("diver.mean.air", a)))
	}
	t.ask(stateMeaning, meaningData{Percent: p, Text: d.Text, Label: d.Label, Ref: t.event.Ref, At: t.sent()}, m)
}

func meanPressed(t *turn, args []string) {
	if t.session.State != stateMeaning {
		t.questionGone()
		return
	}
	t.meantAs(argument(args, 0))
}

func (t *turn) meantAs(what string) {
	var d meaningData
	t.data(&d)
	t.done()
	switch {
	case what == "label" && t.labelledMine(d.Text) == nil && t.labelledMine(d.Label) != nil:
		t.move(d.Label, d.Text)
	case what == "label":
		t.labelAlone(d.Text)
	case what == "air":
		t.airPoint("", d.Percent)
	case what == "reading" && t.mayRead():
		t.take(pendings{Items: []pending{{Percent: d.Percent, Label: d.Label}}, Ref: d.Ref, At: d.At})
	case what != "reading":
		t.questionGone()
	}
}

// meaningTyped: the question says how to answer in text (a decimal makes the
// number a reading, a cylinder before it says which), so that any text is heard
// afresh.
func meaningTyped(t *turn, text string) { t.freely(text) }

// labelAlone asks for the number of a cylinder that was named without one.
func (t *turn) labelAlone(label string) {
	if !t.mayRead() {
		return
	}
	id, isNew := t.placeByLabel(label)
	c := t.mine(id)
	if c == nil || (isNew && !usableLabel(label)) {
		t.say(message.Loud("diver.label.unknown", message.Args{"label": message.Name(label)}), t.expected())
		return
	}
	if isNew {
		t.trip.SetLabel(c.ID, label, t.me.ID, t.now)
	}
	t.askNumber(c)
}

// askNumber asks what the analyser shows for a cylinder.
func (t *turn) askNumber(c *roster.Cylinder) {
	t.ask(stateRetype, retypeData{c.ID}, message.Message{Lines: []message.Line{
		message.Loud("diver.number", message.Args{"cylinder": t.called(c)}), message.Say("diver.number.do", nil)}})
}

// askBlend asks back on a blend's name: what was ordered is no reading. As
// long as the shop fills, it may have been meant as a change of the request.
func (t *turn) askBlend(d reply.Doubt) {
	m := message.Message{Lines: []message.Line{
		message.Loud("diver.doubt.blend", message.Args{"text": message.Name(d.Text)}), message.Say("diver.doubt.blend.do", nil)}}
	blend, err := reply.Percent(d.Text)
	if c := t.mine(only(t.requestable())); c != nil && err == nil && blend != c.Asked && whole(blend) {
		m.Buttons = append(m.Buttons, t.askButton(c, blend, "diver.request.change"))
	}
	t.ask(stateRetype, retypeData{Cylinder: t.idOf(d.Label)}, m)
}
