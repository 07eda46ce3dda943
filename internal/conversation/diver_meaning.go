package conversation

import (
	"math"
	"slices"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Numbers that may mean two things: a label or a reading, a slip or the cylinder. It is
// asked which, and the answer comes from the diver.

// askMeaning asks what a number is.
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
