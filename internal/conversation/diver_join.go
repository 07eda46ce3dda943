package conversation

import (
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The first contact: who this is and what it is not, then the trip and what
// the diver asked for, then one question.

func (t *turn) join() {
	again := !t.me.Joined.IsZero()
	t.trip.Join(t.me.ID, t.event.Address, t.event.Language, t.now)
	t.done()
	if again {
		t.say(message.Say("diver.back", message.Args{"name": message.Name(t.me.Name), "trip": message.Name(t.trip.Name)}))
	} else {
		t.welcome()
	}
	plan := t.plan()
	t.send(plan)
	t.answered[t.me.ID] = true
	if len(plan.Buttons) == 0 { // one question at a time: the request's answer goes on with this one
		t.askBefore()
	}
}

func (t *turn) welcome() {
	lines := []message.Line{
		message.Loud("diver.welcome", message.Args{"name": message.Name(t.me.Name), "trip": message.Name(t.trip.Name)}),
		message.Say("diver.welcome.what", nil),
		message.Line{Key: "diver.caution", Style: message.Quiet},
	}
	lines = append(lines, t.unreviewed()...)
	if t.me.Leader {
		lines = append(lines, gap(), message.Say("diver.welcome.leader", nil))
	}
	t.send(message.Message{Lines: lines, Commands: t.role()})
}

// plan is the trip and what it asks of the acting person.
func (t *turn) plan() message.Message {
	m := message.Message{Lines: t.tripLines()}
	for _, c := range t.myCylinders() {
		lines, buttons := t.planOf(c)
		m.Lines = append(append(m.Lines, gap()), lines...)
		m.Buttons = append(m.Buttons, buttons...)
	}
	if len(t.me.InUse()) == 0 && !t.me.Leader {
		m.Lines = append(m.Lines, gap(), message.Say("diver.no-cylinder", nil))
	}
	m.Lines = append(m.Lines, t.cardLines()...)
	return m
}

// planOf is what one cylinder is about: the request before the fill, the
// verdict once there is a reading.
func (t *turn) planOf(c *roster.Cylinder) ([]message.Line, [][]message.Button) {
	switch {
	case c.Current() != nil:
		board := t.board()
		return t.cylinderLines(t.me, board.Of(t.me.ID), c, t.haveLines(t.me, c)...), nil
	case c.Asked.Known():
		return t.requestLines(t.me, c)
	}
	return []message.Line{message.Say("diver.request.none", message.Args{"cylinder": t.called(c), "dive": message.Count(c.Dive)})}, nil
}

// tripLines are name, departure and dives of the trip.
func (t *turn) tripLines() []message.Line {
	lines := []message.Line{message.Loud("diver.trip", message.Args{
		"trip": message.Name(t.trip.Name), "departs": message.Moment(t.trip.Departs, t.trip.Zone)})}
	for i := range t.trip.Dives {
		lines = append(lines, message.Say("diver.trip.dive", message.Args{
			"dive": message.Count(i + 1), "plan": message.Of(message.Plan(t.trip.Dives[i]))}))
	}
	return append(lines, message.Say("diver.trip.leader", message.Args{"leader": t.leaderNames()}))
}

// cardLines say who can record that the enriched-air card was seen: the bot
// can't, whatever its diver says.
func (t *turn) cardLines() []message.Line {
	enriched := false
	for _, c := range t.myCylinders() {
		enriched = enriched || c.Asked >= gas.EnrichedFrom
	}
	if !enriched || t.me.Card == gas.CardSeen || t.me.Card == gas.CardNone {
		return nil
	}
	return []message.Line{gap(), message.Say("diver.card.unseen", message.Args{"leader": t.leaderNames()})}
}

// stateBefore waits for "did you dive in the last 24 hours?".
const stateBefore State = "diver.before"

// beforeFrom is how long before departure the answer means something: earlier,
// the last 24 hours are not yet those before the dive.
const beforeFrom = 12 * time.Hour

// askBefore asks it of everybody who dives, once, when the day has come; it is
// true when it did.
func (t *turn) askBefore() bool {
	if !t.me.BeforeAsked.IsZero() || t.me.DivedBefore != "" || len(t.myCylinders()) == 0 || !t.me.Left.IsZero() ||
		t.trip.CurrentDive() != 1 || t.trip.Departs.Sub(t.now) > beforeFrom {
		return false
	}
	t.me.BeforeAsked = t.now
	t.ask(stateBefore, nil, message.Message{
		Lines: []message.Line{message.Loud("diver.before.ask", nil)},
		Buttons: [][]message.Button{{
			{Label: message.Say("diver.yes", nil), Do: "before yes"},
			{Label: message.Say("diver.no", nil), Do: "before no"},
		}}})
	return true
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
	t.trip.SetDivedBefore(t.me.ID, answer, t.now)
	t.say(message.Say("diver.before."+answer, nil))
}

func beforeTyped(t *turn, text string) {
	switch t.parse(text, 0).Intent {
	case reply.Yes:
		beforePressed(t, []string{"yes"})
	case reply.No:
		beforePressed(t, []string{"no"})
	default:
		t.freely(text)
	}
}
