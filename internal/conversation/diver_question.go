package conversation

import (
	"slices"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Numbers that are being asked about. As long as one is, no cylinder that it may
// be meant for is cleared. The question is kept in the trip, so that it is not
// lost with the dialogue: its buttons carry its id, and it is asked again until
// it is answered or taken back.

// question is an open question with the cylinders that it may be meant for, and those that are not used any more: it
// can be taken back of them.
type question struct {
	roster.Question
	cylinders, gone []*roster.Cylinder
}

// questionsOf are a person's open questions, the oldest first.
func (t *turn) questionsOf(p *roster.Person) []question {
	var found []question
	for _, c := range p.Cylinders {
		for _, q := range c.Questions {
			i := slices.IndexFunc(found, func(f question) bool { return f.ID == q.ID })
			if i < 0 {
				i, found = len(found), append(found, question{Question: q})
			}
			if c.Retired.IsZero() {
				found[i].cylinders = append(found[i].cylinders, c)
			} else if t.stillHolds(c) {
				found[i].gone = append(found[i].gone, c)
			}
		}
	}
	found = slices.DeleteFunc(found, func(q question) bool { return len(q.cylinders)+len(q.gone) == 0 })
	slices.SortStableFunc(found, func(a, b question) int { return a.Nth - b.Nth })
	return found
}

// stillHolds tells whether what is asked of a cylinder that is gone is in anybody's way: on the dive that it was taken
// from, or where the same one is used again.
func (t *turn) stillHolds(c *roster.Cylinder) bool {
	return slices.ContainsFunc(t.ahead(), c.LeftOn) || len(t.trip.Labelled(c.Label)) > 0
}

// questionBy is the acting person's open question of that id, false for none.
func (t *turn) questionBy(id string) (question, bool) {
	for _, q := range t.questionsOf(t.me()) {
		if q.ID == id && id != "" {
			return q, true
		}
	}
	return question{}, false
}

// openQuestion notes that a number is being asked about.
func (t *turn) openQuestion(kind string, percent gas.Percent, cs []*roster.Cylinder) string {
	ids := make([]roster.CylinderID, len(cs))
	dives := make([]int, len(cs))
	for i, c := range cs {
		ids[i], dives[i] = c.ID, c.Dive
	}
	if len(ids) == 0 {
		return ""
	}
	t.showed(t.me().ID, dives...)
	return t.trip.Ask(ids, kind, percent, t.me().ID, t.now)
}

// meant are the cylinders that a number without a place may be meant for: the
// one that is certain, or all that are ahead.
func (t *turn) meant(label string) []*roster.Cylinder {
	if c := t.labelledMine(label); c != nil {
		return []*roster.Cylinder{c}
	}
	if c := t.mine(t.meantAlone()); c != nil {
		return []*roster.Cylinder{c}
	}
	return t.current(t.me())
}

// meantAlone is the one cylinder that a bare number can be meant for: the only
// one that is ahead, or the only one that a number is waited for, unless
// another one's dive is signed and about to be dived.
func (t *turn) meantAlone() roster.CylinderID {
	current := t.current(t.me())
	if c := only(current); c != "" {
		return c
	}
	c := only(t.waitedFor())
	if c == "" || slices.ContainsFunc(current,
		func(o *roster.Cylinder) bool { return o.ID != c && t.aboutToDive(o.Dive) }) {
		return ""
	}
	return c
}

// waitedFor are the acting person's cylinders that a number is waited for: those
// that owe an analysis, and those that one is being asked about.
func (t *turn) waitedFor() []*roster.Cylinder {
	waited := t.owedCylinders()
	for _, q := range t.questionsOf(t.me()) {
		for _, c := range q.cylinders {
			if !sameCylinder(waited, c) {
				waited = append(waited, c)
			}
		}
	}
	return waited
}

// aboutToDive tells whether a dive is signed and by plan not over.
func (t *turn) aboutToDive(dive int) bool {
	return t.trip.Signed(dive, t.now) && t.now.Before(t.trip.Ends(dive))
}

// closeQuestion ends a question; "" and one that is over are none.
func (t *turn) closeQuestion(id string, answered bool) {
	if id != "" {
		t.trip.CloseQuestion(id, answered, t.me().ID, t.now)
	}
}

// answeredBy closes what a number for a cylinder answers of what was asked about
// it; a correction takes back a second number that was asked about.
func (t *turn) answeredBy(c *roster.Cylinder, percent gas.Percent, corrects bool) {
	for _, q := range slices.Clone(c.Questions) {
		if q.AnsweredBy(percent, t.trip.PlacesAsked(q.ID)) || corrects && q.Kind == roster.QuestionAgain {
			t.closeQuestion(q.ID, true)
		}
	}
}

// takenBack is "never mind". A word that also stops a dive is one of alarm to somebody
// who is cleared and was asked nothing.
func (t *turn) takenBack(r reply.Result) {
	if r.Stop && len(t.questionsOf(t.me())) == 0 && t.clearedToDive() {
		t.raise(roster.SpeakDistress, orders.Clip(t.event.Text, longestWords))
		return
	}
	t.withdraw()
}

// withdraw takes back what is asked about.
func (t *turn) withdraw() {
	open := t.questionsOf(t.me())
	if len(open) == 0 {
		t.say(message.Say("diver.cancelled", nil))
		return
	}
	for _, q := range open {
		t.closeQuestion(q.ID, false)
	}
	t.sayWithdrawn(open)
}

// backPressed takes one question back.
func backPressed(t *turn, args []string) {
	q, ok := t.questionBy(argument(args, 0))
	if !ok {
		t.questionGone()
		return
	}
	t.done()
	t.closeQuestion(q.ID, false)
	t.sayWithdrawn([]question{q})
}

// sayWithdrawn says how things stand without the numbers that were taken back.
func (t *turn) sayWithdrawn(qs []question) {
	lines := []message.Line{message.Say("diver.question.back", nil)}
	var dives []int
	for _, q := range qs {
		for _, c := range slices.Concat(q.cylinders, q.gone) {
			if !slices.Contains(dives, c.Dive) {
				dives = append(dives, c.Dive)
			}
		}
	}
	t.showed(t.me().ID, dives...)
	t.say(append(append(lines, gap()), t.personalLines(t.me(), t.standLines, dives...)...)...)
	if m, open := t.openMessage(); open {
		t.sayBeside(m)
	}
}

// backButton offers to take a question back.
func backButton(id string) []message.Button {
	return oneButton("qback "+id, message.Say("diver.question.button.back", nil))
}

// questionMessage asks an open question again.
func (t *turn) questionMessage(p *roster.Person, q question) message.Message {
	all := slices.Concat(q.cylinders, q.gone)
	a := message.Args{"percent": message.Percent(q.Percent), "cylinder": message.Of(t.calledBy(p, all[0]))}
	var m message.Message
	switch kind := q.Kind; {
	case len(q.cylinders) == 0:
		m.Lines = []message.Line{message.Loud("diver.number.gone", a)}
	case t.mayBeLabel(q):
		m = meaningMessage(reply.LabelOrReading, digits(float64(q.Percent)), q.ID)
	case kind == roster.QuestionWhich, len(q.cylinders) > 1 && q.Percent.Known():
		m.Lines = []message.Line{message.Loud("diver.which", a)}
		for _, c := range q.cylinders {
			m.Buttons = append(m.Buttons, oneButton("which "+string(c.ID)+" "+q.ID, t.calledBy(p, c)))
		}
	case kind == roster.QuestionSwap:
		return t.changeMessage(swapping, p, q.cylinders)
	case kind == roster.QuestionRefill:
		return t.changeMessage(refilling, p, q.cylinders)
	case kind == roster.QuestionBoat:
		return t.askedOfBoat(p)
	case kind == roster.QuestionAgain && t.trip.ShownOf(q.cylinders[0].ID, t.now) != nil:
		m = t.againMessage(p, q.cylinders[0], q.Percent, q.ID)
	default:
		m.Lines = []message.Line{message.Loud("diver.number", a), message.Say("diver.number.do", nil)}
	}
	m.Buttons = append(m.Buttons, backButton(q.ID))
	return m
}

// clearedToDive tells whether the acting person has a dive before them that is signed.
func (t *turn) clearedToDive() bool {
	n := t.dive()
	return t.me().Dives() && t.trip.Dive(n) != nil && t.trip.Signed(n, t.now) && !t.trip.WasDived(n)
}
