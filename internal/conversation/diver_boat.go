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
func (t *turn) boatMessage(p *roster.Person, pb *roster.PersonBoard) (m message.Message, ok bool) {
	open := boatOwed(t.cylindersOf(p), pb)
	if len(open) > 0 {
		m.Lines = append(m.Lines, message.Loud("diver.boat.ask", message.Args{"count": message.Count(len(open)), "cylinders": t.list(p, open)}))
		m.Buttons = t.boatButtons(p, open)
	}
	again := filter(t.cylindersOf(p), func(c *roster.Cylinder) bool { return owes(pb, c.ID) })
	if len(again) > 0 {
		m.Lines = append(m.Lines, message.Loud("diver.boat.analyse", message.Args{"count": message.Count(len(again)), "cylinders": t.list(p, again)}))
	}
	return m, len(m.Lines) > 0
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
	board := t.board()
	return boatOwed(t.myCylinders(), board.Of(t.me.ID))
}

func boatOwed(cs []*roster.Cylinder, pb *roster.PersonBoard) []*roster.Cylinder {
	return filter(cs, func(c *roster.Cylinder) bool {
		return pb != nil && slices.ContainsFunc(pb.Owes, func(o roster.Owed) bool {
			return o.Cylinder == c.ID && o.Why == roster.OwesBoatAnswer
		})
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
	if c == nil || t.trip.Stage() != gas.Boat || c.Dive != t.trip.CurrentDive() {
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
	t.answered[t.me.ID] = true
	for _, c := range cs {
		t.trip.Attend(c.ID, answer, t.me.ID, t.now)
	}
	if open := t.boatOpen(); len(open) > 0 {
		board := t.board()
		m, _ := t.boatMessage(t.me, board.Of(t.me.ID))
		m.Lines = append([]message.Line{message.Say("diver.boat.noted", message.Args{"cylinders": t.list(t.me, cs)})}, m.Lines...)
		t.send(m)
		return
	}
	board := t.board()
	lines := t.personalLines(t.me, board.Of(t.me.ID))
	old := func(c *roster.Cylinder) bool { return slices.Contains(cs, c) }
	if answer == roster.Kept && len(filter(t.owedCylinders(), old)) > 0 {
		lines = append(lines, gap(), message.Say("diver.boat.old", nil))
	}
	t.say(lines...)
	t.queueMoves()
}

// boatWords answers the boat question in words, for all cylinders that owe an
// answer.
func (t *turn) boatWords(i reply.Intent) {
	answers := map[reply.Intent]string{reply.Kept: roster.Kept, reply.Unsure: roster.Unsure, reply.OutOfSight: roster.OutOfSight}
	if open := t.boatOpen(); len(open) > 0 {
		t.attend(open, answers[i])
		return
	}
	t.say(message.Say("diver.nothing-asked", nil), t.expected())
}
