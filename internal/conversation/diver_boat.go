package conversation

import (
	"slices"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The boat check: was the cylinder out of your sight, relabelled or topped up
// since you analysed it? Yes and not sure mean: analyse again.

// boatMessage is what a person is asked when the boat check opens: the
// question for each cylinder that owes an answer, or to analyse again. It is
// false when there is nothing to ask.
func (t *turn) boatMessage(p *roster.Person, dive int) (m message.Message, ok bool) {
	cl := t.clearance(p.ID, dive)
	if len(t.boatOpenOf(p)) > 0 {
		m = t.askedOfBoat(p)
	}
	again := filter(p.InUse(), func(c *roster.Cylinder) bool { return owes(cl, c.ID) })
	if len(again) > 0 {
		m.Lines = append(m.Lines, message.Loud("diver.boat.analyse",
			message.Args{"count": message.Count(len(again)), "cylinders": t.list(p, again)}))
	}
	return m, len(m.Lines) > 0
}

// askedOfBoat is the boat question with its buttons: of all that is open, since words
// answer for all of it.
func (t *turn) askedOfBoat(p *roster.Person) message.Message {
	open := t.boatOpenOf(p)
	return message.Message{Lines: []message.Line{t.boatQuestion(p, open)}, Buttons: t.boatButtons(p, open)}
}

// boatQuestion asks about cylinders that were analysed.
func (t *turn) boatQuestion(p *roster.Person, open []*roster.Cylinder) message.Line {
	return message.Loud("diver.boat.ask", message.Args{"count": message.Count(len(open)), "cylinders": t.list(p, open)})
}

// boatButtons answer for each cylinder, and for all at once when there are several.
func (t *turn) boatButtons(p *roster.Person, open []*roster.Cylinder) [][]message.Button {
	var rows [][]message.Button
	if len(open) > 1 {
		rows = append(rows, oneButton("boat all kept", message.Say("diver.boat.all-kept", nil)))
	}
	for _, c := range open {
		a := message.Args{"cylinder": message.Of(t.calledBy(p, c))}
		suffix := ""
		if len(open) > 1 {
			suffix = ".of"
		}
		for _, answer := range []string{roster.Kept, roster.Unsure, roster.OutOfSight} {
			rows = append(rows, oneButton("boat "+string(c.ID)+" "+answer, message.Say("diver.boat."+answer+suffix, a)))
		}
	}
	return rows
}

func (t *turn) list(p *roster.Person, cs []*roster.Cylinder) message.Value {
	var names []message.Value
	for _, c := range cs {
		names = append(names, message.Of(t.calledBy(p, c)))
	}
	return message.List(names...)
}

// boatOpen are the acting person's cylinders whose boat question is not answered.
func (t *turn) boatOpen() []*roster.Cylinder {
	return t.boatOpenOf(t.me())
}

func (t *turn) boatOpenOf(p *roster.Person) []*roster.Cylinder {
	var open []*roster.Cylinder
	for _, n := range t.ahead() {
		open = append(open, boatOwed(p.InUse(), t.clearance(p.ID, n))...)
	}
	return open
}

// boatOwed are those of cs whose boat question a clearance waits for. Of a no-go
// nothing is asked: no answer would make it better.
func boatOwed(cs []*roster.Cylinder, cl *roster.Clearance) []*roster.Cylinder {
	return filter(cs, func(c *roster.Cylinder) bool {
		owed := slices.ContainsFunc(cl.Owes, func(o roster.Owed) bool {
			return o.Cylinder == c.ID && o.Why == roster.NeedBoatAnswer
		})
		return cl.Active && (owed && cl.Status != gas.NoGo || c.Dive == cl.Dive && boatAsked(c))
	})
}

func boatPressed(t *turn, args []string) {
	answer := argument(args, 1)
	if answer != roster.Kept && answer != roster.Unsure && answer != roster.OutOfSight {
		t.questionGone()
		return
	}
	if argument(args, 0) == "all" {
		t.attend(t.boatOpen(), answer)
		return
	}
	c := t.mine(roster.CylinderID(argument(args, 0)))
	if c == nil || answer == roster.Kept && !t.trip.BoatOpened(c.Dive) {
		t.questionGone()
		return
	}
	t.attend([]*roster.Cylinder{c}, answer)
}

// attend records the answer for cylinders and says what follows.
func (t *turn) attend(cs []*roster.Cylinder, answer string) {
	if len(cs) == 0 {
		t.questionGone()
		return
	}
	t.done()
	var dives []int
	voided := answer == roster.Kept && slices.ContainsFunc(cs, t.saidChanged)
	for _, c := range cs {
		t.attended(c, answer)
		dives = append(dives, c.Dive)
	}
	cs = t.asNow(cs)
	t.showed(t.me().ID, dives...)
	if open := t.boatOpen(); len(open) > 0 {
		m, _ := t.boatMessage(t.me(), open[0].Dive)
		m.Lines = append([]message.Line{message.Say("diver.boat.noted", message.Args{"cylinders": t.list(t.me(), cs)})},
			m.Lines...)
		t.send(m)
		return
	}
	lines := t.personalLines(t.me(), t.standLines, slices.Compact(dives)...)
	old := func(c *roster.Cylinder) bool { return sameCylinder(cs, c) && !filledSince(c) }
	if answer == roster.Kept && len(filter(t.owedCylinders(), old)) > 0 {
		key := "diver.boat.old"
		if voided {
			key = "diver.boat.stands"
		}
		lines = append(lines, message.Say(key, nil))
	}
	t.say(lines...)
	t.queueMoves()
}

// saidChanged tells whether "yes" or "not sure" was answered of a cylinder since the boat check of its dive was opened
// first: words do not take that back.
func (t *turn) saidChanged(c *roster.Cylinder) bool {
	d := t.trip.Dive(c.Dive)
	return slices.ContainsFunc(c.Answers, func(a roster.Attended) bool {
		return a.Answer != roster.Kept && d != nil && len(d.Boat) > 0 && !a.Moment.Before(d.Boat[0].Moment) &&
			!t.readSince(c, a)
	})
}

// readSince tells whether a cylinder was analysed after an answer.
func (t *turn) readSince(c *roster.Cylinder, a roster.Attended) bool {
	return slices.ContainsFunc(c.Readings, func(r *roster.Reading) bool { return r.Nth > a.Nth && r.Undone.IsZero() })
}

// filledSince tells whether a cylinder was filled after it was analysed last: then the
// age of that number is not what is the matter.
func filledSince(c *roster.Cylinder) bool {
	r := c.Newest()
	return r == nil || slices.ContainsFunc(c.Fills, func(f roster.Fill) bool { return f.Nth > r.Nth })
}

// sameCylinder tells whether c is one of the cylinders, as it was or is.
func sameCylinder(cs []*roster.Cylinder, c *roster.Cylinder) bool {
	return slices.ContainsFunc(cs, func(o *roster.Cylinder) bool { return o.ID == c.ID })
}

// partedWords hears that a cylinder was out of sight, or that somebody is not sure
// of it, also where nothing is asked of it any more: it voids what was read before.
// Without a label that is said of nobody's but an only cylinder.
func (t *turn) partedWords(i reply.Intent, label string) {
	said := filter(t.current(t.me()), func(c *roster.Cylinder) bool { return sameLabel(c.Label, label) })
	if label == "" && i == reply.OutOfSight {
		said = t.current(t.me())
	}
	asked := slices.ContainsFunc(t.boatOpen(),
		func(c *roster.Cylinder) bool { return label == "" || sameCylinder(said, c) })
	if asked || len(said) != 1 || !t.read(said[0]) || t.trip.Over(t.now) {
		t.boatWords(i, label)
		return
	}
	t.attend(said, map[reply.Intent]string{reply.Unsure: roster.Unsure, reply.OutOfSight: roster.OutOfSight}[i])
}

// boatWords answers the boat question in words: for the cylinder that is named, or
// for all that owe an answer.
func (t *turn) boatWords(i reply.Intent, label string) {
	answers := map[reply.Intent]string{reply.Kept: roster.Kept, reply.Unsure: roster.Unsure,
		reply.OutOfSight: roster.OutOfSight}
	open := t.boatOpen()
	if label != "" {
		open = filter(open, func(c *roster.Cylinder) bool { return sameLabel(c.Label, label) })
	}
	if len(open) > 0 {
		t.attend(open, answers[i])
		return
	}
	if m, open := t.openMessage(); open {
		t.send(m)
		return
	}
	if i != reply.Kept && t.askKeptAgain() {
		return
	}
	t.send(t.standing(message.Say("diver.nothing-asked", nil)))
}

// askKeptAgain asks the boat question of what was answered with "it stayed with me",
// and holds the cylinder until then: words that say otherwise, or may, come after a
// button that was pressed by mistake. It is false where nothing was answered so.
func (t *turn) askKeptAgain() bool {
	kept := filter(t.current(t.me()), func(c *roster.Cylinder) bool {
		last := len(c.Answers) - 1
		return t.trip.BoatOpened(c.Dive) && !t.trip.WasDived(c.Dive) && t.read(c) &&
			last >= 0 && c.Answers[last].Answer == roster.Kept
	})
	if len(kept) == 0 || t.trip.Over(t.now) || len(t.boatOpen()) > 0 {
		return false
	}
	for _, c := range kept { // each is answered for itself
		t.openQuestion(roster.QuestionBoat, 0, []*roster.Cylinder{c})
	}
	m, open := t.openMessage()
	if open {
		t.send(m)
	}
	return open
}

// boatAsked tells whether the boat question is asked again of a cylinder.
func boatAsked(c *roster.Cylinder) bool {
	return slices.ContainsFunc(c.Questions, func(q roster.Question) bool { return q.Kind == roster.QuestionBoat })
}

// attended keeps an answer to the boat question, by whomever.
func (t *turn) attended(c *roster.Cylinder, answer string) {
	t.trip.Attend(c.ID, answer, t.me().ID, t.now)
	t.closeKind(c, roster.QuestionBoat, true)
}

// noWords answers the boat question with a no that is of it. "None" and "no thanks"
// are answers to something else.
func (t *turn) noWords(r reply.Result) {
	if r.Loose && len(t.boatOpen()) > 0 {
		t.notUnderstood()
		return
	}
	t.boatWords(reply.Kept, r.Label)
}

// answersBoat tells whether words answer the boat question that came after what the
// dialogue waits for: who reads it last answers it, and nothing older.
func (t *turn) answersBoat(text string) bool {
	if t.session.State == Idle || t.session.State == stateUnsaid || !t.boatCameLater() {
		return false
	}
	return slices.Contains(boatAnswers, t.answer(text))
}

// boatAnswers are the words that answer the boat question.
var boatAnswers = []reply.Intent{reply.Yes, reply.No, reply.Kept, reply.Unsure, reply.DontKnow, reply.OutOfSight}

// boatCameLater tells whether the boat check of a dive whose question is open was
// opened after the question that the session holds was put.
func (t *turn) boatCameLater() bool {
	return slices.ContainsFunc(t.boatOpen(), func(c *roster.Cylinder) bool {
		d := t.trip.Dive(c.Dive)
		return d != nil && len(d.Boat) > 0 && d.Boat[len(d.Boat)-1].At.After(t.session.Since)
	})
}
