package conversation

import (
	"math"
	"slices"
	"strings"
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

func (t *turn) askMeaning(d reply.Doubt) { t.askMeaningOf(d, nil) }

// askMeaningOf asks what a number is that can be of one cylinder alone, nil where it
// is not known which.
func (t *turn) askMeaningOf(d reply.Doubt, c *roster.Cylinder) {
	p, err := reply.Percent(d.Text)
	if err != nil {
		t.notUnderstood()
		return
	}
	data := meaningData{Percent: p, Text: d.Text, Label: d.Label, Ref: t.event.Ref, At: t.sent()}
	data.Air = d.Why != reply.LabelOrReading
	switch {
	case c != nil:
		data.Cylinder = c.ID
		data.Question = t.openQuestion(roster.QuestionSlip, p, []*roster.Cylinder{c})
	case data.Air:
		data.Question = t.openQuestion(roster.QuestionSlip, p, t.meant(d.Label))
	default:
		data.Question = t.openQuestion(roster.QuestionSlip, p, t.meantByLabel(d))
	}
	data.Unsaid = orders.Clip(t.event.Text, longestWords)
	t.trip.Quote(data.Question, data.Unsaid)
	m := meaningMessage(d.Why, d.Text, data.Question)
	m.Buttons = append(m.Buttons, backButton(data.Question), t.helpButton())
	t.ask(stateMeaning, data, m)
}

// meaningMessage asks what a number is; its buttons carry the question.
func meaningMessage(why reply.Doubtful, text, question string) message.Message {
	a := message.Args{"text": message.Name(text)}
	other := "label"
	if why != reply.LabelOrReading {
		other = "air"
	}
	return message.Message{
		Lines: []message.Line{message.Loud("diver.doubt."+string(why), a), message.Say("diver.doubt.nothing-yet", nil)},
		Buttons: [][]message.Button{
			oneButton(strings.TrimSpace("mean reading "+question), message.Say("diver.mean.reading", a)),
			oneButton(strings.TrimSpace("mean "+other+" "+question), message.Say("diver.mean."+other, a))}}
}

// meaning puts right what was doubted for one word. "18 was topped up", "18 CO 9":
// beside such words the number of an own cylinder is its label. "Topped up with
// air": the name of a gas says there with what.
func (t *turn) meaning(text string, r reply.Result) reply.Result {
	r = t.timely(r)
	if len(r.Unclear) != 1 || len(r.Readings) > 0 {
		return r
	}
	d := r.Unclear[0]
	switch c := t.spokenLabel(d.Text); {
	case d.Why == reply.LabelOrReading && c != nil && len(r.Monoxide) == 1 && r.Monoxide[0].Label == "":
		r.Monoxide[0].Label, r.Unclear = c.Label, nil
	case d.Why == reply.LabelOrReading && c != nil && changes[r.Intent]:
		r.Label, r.Unclear = c.Label, nil
	case d.Why == reply.Blend && d.Word != "":
		return t.withoutGas(text, d.Word, r)
	}
	return r
}

// changes are the intents that say that a cylinder is not what it was.
var changes = map[reply.Intent]bool{reply.Refilled: true, reply.NewCylinder: true, reply.OutOfSight: true}

// withoutGas hears whether the text says of a cylinder that it was changed, when
// the name of a gas and the words that lead to it are left out.
func (t *turn) withoutGas(text, gasWord string, r reply.Result) reply.Result {
	words := strings.Fields(text)
	at := slices.IndexFunc(words, func(w string) bool {
		return strings.Contains(strings.ToLower(w), strings.ToLower(gasWord))
	})
	if at < 0 {
		return r
	}
	for before := 0; before <= 2 && before <= at; before++ {
		rest := strings.Join(slices.Concat(words[:at-before], words[at+1:]), " ")
		if heard := t.parse(rest, 0); changes[heard.Intent] && len(heard.Unclear) == 0 && len(heard.Readings) == 0 {
			return heard
		}
	}
	return r
}

func meanPressed(t *turn, args []string) {
	d, open := t.meaningAsked(argument(args, 1))
	if !open {
		t.questionGone()
		return
	}
	t.meantAs(argument(args, 0), d)
}

// meaningAsked is what waits in the session, or if that was dropped what the trip
// keeps of a question whether a number is a label.
func (t *turn) meaningAsked(id string) (d meaningData, open bool) {
	if t.session.State == stateMeaning {
		if t.data(&d); id == "" || id == d.Question {
			return d, true
		}
	}
	q, open := t.questionBy(id)
	if !open || !t.mayBeLabel(q) {
		return d, false
	}
	return meaningData{Percent: q.Percent, Text: digits(float64(q.Percent)), Cylinder: only(q.cylinders), At: q.At,
		Question: q.ID, unsaidData: unsaidData{q.Was}}, true
}

func (t *turn) meantAs(what string, d meaningData) {
	t.done()
	if what == "label" {
		t.closeQuestion(d.Question, true)
	}
	switch {
	case what == "label" && t.labelledMine(d.Text) == nil && t.labelledMine(d.Label) != nil:
		t.move(d.Label, d.Text)
	case what == "label" && t.wrongCylinder(d):
	case what == "label":
		t.labelFor(d.Cylinder, d.Text)
	case what == "air":
		t.closeQuestion(d.Question, true)
		t.airPoint("", d.Percent)
	case what == "reading" && t.mayRead():
		t.take(pendings{Items: []pending{{Percent: d.Percent, Label: d.Label, Cylinder: d.Cylinder}}, Ref: d.Ref, At: d.At,
			Question: d.Question})
	case what != "reading":
		t.questionGone()
	}
}

// meaningTyped: the question says how to answer in text (a decimal makes the
// number a reading, a cylinder before it says which), so that any text is heard
// afresh. Another number alone says that the first was the label of its cylinder.
func meaningTyped(t *turn, text string) {
	var d meaningData
	t.data(&d)
	label := d.Label
	if label == "" && !d.Air {
		label = d.Text
	}
	if r := t.parse(text, 0); label != "" && alone(r) && math.Floor(float64(r.Readings[0].Percent)) != float64(d.Percent) {
		t.takeLabelled(r, label, d.Cylinder, d.Question)
		return
	}
	t.freely(text)
}

// alone tells whether a message is one number for a cylinder that it does not name.
func alone(r reply.Result) bool {
	return len(r.Readings) == 1 && barely(r.Readings[0]) && len(r.Unclear) == 0 && !r.Correction && !r.Again &&
		len(r.Monoxide) == 0 && !changes[r.Intent]
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
