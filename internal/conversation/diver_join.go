package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// The first contact: who this is and what it is not, then the trip and what
// the diver asked for, then one question.

func (t *turn) join() {
	again, left := !t.me().Joined.IsZero(), !t.me().Left.IsZero()
	t.trip.Join(t.me().ID, t.event.Address, t.event.Language, t.now)
	t.done()
	if left {
		t.asksBack()
		t.say(message.Loud("diver.left.back", message.Args{"name": message.Name(t.me().Name), "leader": t.allLeaders()}))
		return
	}
	m := t.welcome(again)
	t.send(m)
	t.showed(t.me().ID)
	t.leaderComes(t.me())
	if !again && t.me().Leader && t.trip.GateOpen(t.now) {
		t.send(t.inviteMessage())
	}
	if !t.asksRequest() { // one question at a time: the request's answer goes on with this one
		t.askBefore()
	}
}

// welcome is the first message: who this is, the plan, and what this is not. Who
// comes when the evening's message is due, or was, gets it with the same message.
func (t *turn) welcome(again bool) message.Message {
	evening := reminders.TakeEvening(t.trip, t.me().ID, t.now)
	var m message.Message
	if evening {
		m = t.evening(t.me())
	} else {
		m = t.plan()
	}
	a := message.Args{"name": message.Name(t.me().Name), "trip": message.Name(t.trip.Name), "leader": t.leaderNames()}
	if again {
		m.Lines = append([]message.Line{message.Say("diver.back", a)}, m.Lines...)
		return m
	}
	m.Lines = append([]message.Line{message.Loud("diver.welcome", a)}, m.Lines...)
	if !evening && len(t.current(t.me())) > 0 {
		m.Lines = append(m.Lines, message.Say("diver.welcome.what", nil))
	}
	if t.me().Leader {
		m.Buttons = append(m.Buttons, oneButton("board", message.Say("news.button.board", nil)))
	}
	m.Lines = append(append(m.Lines, message.Say("diver.caution", a)), t.unreviewed()...)
	m.Commands = t.role()
	return m
}

// asksRequest tells whether a request of the acting person is still to be answered.
func (t *turn) asksRequest() bool {
	return slices.ContainsFunc(t.requestable(), func(c *roster.Cylinder) bool { return !t.requestFits(t.me(), c) })
}

// plan is the trip and what it asks of the acting person.
func (t *turn) plan() message.Message {
	m := message.Message{Lines: t.tripLines()}
	var fits []*roster.Cylinder
	for _, c := range t.current(t.me()) {
		if t.trip.ShownOf(c.ID, t.now) == nil && c.Asked.Known() && t.requestFits(t.me(), c) {
			fits = append(fits, c)
			continue
		}
		lines, buttons := t.planOf(c)
		m.Lines, m.Buttons = append(m.Lines, lines...), append(m.Buttons, buttons...)
	}
	m.Lines = append(m.Lines, t.fitsLine(fits)...)
	if len(t.me().InUse()) == 0 && !t.me().Leader && !t.me().Crew {
		m.Lines = append(m.Lines, message.Say("diver.no-cylinder", nil))
	}
	m.Lines = append(m.Lines, t.cardLines()...)
	return m
}

// fitsLine says in one line what was asked for and fits.
func (t *turn) fitsLine(cs []*roster.Cylinder) []message.Line {
	if len(cs) == 0 {
		return nil
	}
	var asked []message.Value
	for _, c := range cs {
		a := message.Args{"asked": message.Blend(c.Asked), "dive": message.Count(c.Dive)}
		asked = append(asked, message.Of(message.Say("diver.request.for", a)))
	}
	return []message.Line{message.Say("diver.request.fit", message.Args{"asked": message.List(asked...)})}
}

// planOf is what one cylinder is about: the request before the fill, the
// verdict once there is a reading.
func (t *turn) planOf(c *roster.Cylinder) ([]message.Line, [][]message.Button) {
	switch {
	case t.trip.ShownOf(c.ID, t.now) != nil:
		return t.standLines(t.me(), c), nil
	case c.Asked.Known():
		return t.requestLines(t.me(), c)
	}
	return []message.Line{message.Say("diver.request.none",
		message.Args{"cylinder": t.called(c), "dive": message.Count(c.Dive)})}, nil
}

// tripLines are name, departure, leader and dives of the trip.
func (t *turn) tripLines() []message.Line {
	lines := []message.Line{message.Loud("diver.trip", message.Args{
		"trip": message.Name(t.trip.Name), "departs": message.Moment(t.trip.Departs, t.trip.Zone),
		"leader": t.allLeaders()})}
	if t.trip.CalledOff != nil {
		lines = append(lines, t.overLines()...)
	}
	for i := range t.trip.Dives {
		lines = append(lines, message.Say("diver.trip.dive", message.Args{
			"dive": message.Count(i + 1), "plan": message.Of(message.Plan(t.trip.Dives[i]))}))
	}
	return lines
}

// cardLines say who can record that the enriched-air card was seen: the bot
// can't, whatever its diver says.
func (t *turn) cardLines() []message.Line {
	enriched := false
	for _, c := range t.myCylinders() {
		enriched = enriched || c.Asked >= gas.EnrichedFrom
	}
	if !enriched || t.me().Card == gas.CardSeen || t.me().Card == gas.CardNone {
		return nil
	}
	return []message.Line{message.Say("diver.card.unseen", nil)}
}

// stateBefore waits for "did you dive in the last 24 hours?".
const stateBefore State = "diver.before"

// beforeFrom is how long before departure the answer means something: earlier,
// the last 24 hours are not yet those before the dive.
const beforeFrom = 12 * time.Hour

// mayAskBefore tells whether it is still to be asked.
func (t *turn) mayAskBefore() bool {
	return t.me().BeforeAsked.IsZero() && t.me().DivedBefore == "" && len(t.myCylinders()) > 0 && t.me().Left.IsZero() &&
		t.open(1) && t.trip.Departs.Sub(t.now) <= beforeFrom
}

// askBefore asks it of everybody who dives, once, when the day has come; it is
// true when it did.
func (t *turn) askBefore() bool {
	if !t.mayAskBefore() {
		return false
	}
	t.trip.Edit(t.actor).BeforeAsked = t.now
	t.wait(stateBefore, nil)
	t.sayBeside(message.Message{Lines: []message.Line{message.Say("diver.before.ask", nil)}, Buttons: [][]message.Button{{
		{Label: message.Say("diver.yes", nil), Do: "before yes"}, {Label: message.Say("diver.no", nil), Do: "before no"}}}})
	return true
}

// sayBeside adds a question to what this turn's answer says last, so that it is no
// message of its own; to a verdict only where there is room.
func (t *turn) sayBeside(q message.Message) {
	for i := len(t.letters) - 1; i >= 0; i-- {
		m := &t.letters[i].Message
		if t.letters[i].Person != t.actor {
			continue
		}
		if verdict := len(m.Lines) > 2 || len(m.Buttons) > 0; verdict && (len(q.Lines) > 1 || !hasRoom(m)) {
			break
		}
		m.Lines, m.Buttons = append(slices.Clone(m.Lines), q.Lines...), append(slices.Clone(m.Buttons), q.Buttons...)
		return
	}
	t.send(q)
}

// hasRoom tells whether a line more leaves a message short: each cylinder that it
// is of may have its own.
func hasRoom(m *message.Message) bool {
	lines, blocks := 0, 1
	for _, l := range m.Lines {
		if l.Style == message.Gap {
			blocks++
			continue
		}
		lines++
	}
	return blocks > 1 || lines < longestVerdict
}

func beforePressed(t *turn, args []string) {
	answer := argument(args, 0)
	if answer != "yes" && answer != "no" {
		t.questionGone()
		return
	}
	if t.session.State == stateBefore {
		t.done()
	}
	t.trip.SetDivedBefore(t.me().ID, answer, t.now)
	if t.me().DivedBefore != answer {
		answer = "stays"
	}
	t.say(message.Say("diver.before."+answer, nil))
}

func beforeTyped(t *turn, text string) {
	switch t.answer(text) {
	case reply.Yes:
		beforePressed(t, []string{"yes"})
	case reply.No:
		beforePressed(t, []string{"no"})
	default:
		t.freely(text)
	}
}
