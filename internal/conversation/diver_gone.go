package conversation

import (
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// Going: not diving today, leaving the trip, being forgotten. None of them
// makes the board green; the leader decides who sits out.

const (
	stateLeave  State = "diver.leave"
	stateForget State = "diver.forget"
)

func yesNo(do string, yes, no message.Line) [][]message.Button {
	return [][]message.Button{oneButton(do+" yes", yes), oneButton(do+" no", no)}
}

func askLeave(t *turn, _ string) {
	if !t.me.Left.IsZero() {
		t.send(message.Message{Lines: []message.Line{message.Say("diver.left.already", nil)}, Buttons: returnButtons()})
		return
	}
	t.ask(stateLeave, nil, message.Message{
		Lines: []message.Line{message.Loud("diver.leave.ask", message.Args{"trip": message.Name(t.trip.Name)}),
			message.Say("diver.leave.means", message.Args{"leader": t.leaderNames()})},
		Buttons: yesNo("leave", message.Say("diver.leave.yes", nil), message.Say("diver.leave.no", nil))})
}

// askNotDiving is "not diving today": the same, said otherwise.
func (t *turn) askNotDiving() {
	if !t.me.Left.IsZero() {
		askLeave(t, "")
		return
	}
	t.ask(stateLeave, nil, message.Message{
		Lines:   []message.Line{message.Loud("diver.not-diving.ask", message.Args{"leader": t.leaderNames()})},
		Buttons: yesNo("leave", message.Say("diver.not-diving.yes", nil), message.Say("diver.leave.no", nil))})
}

func leavePressed(t *turn, args []string) {
	t.done()
	switch {
	case argument(args, 0) == "no":
		t.say(message.Say("diver.leave.not", nil), t.expected())
	case argument(args, 0) != "yes":
		t.questionGone()
	case !t.me.Left.IsZero():
		askLeave(t, "")
	case t.trip.Over(t.now):
		t.say(message.Loud("diver.over", nil))
	default:
		t.leave()
	}
}

func (t *turn) leave() {
	t.answered[t.me.ID] = true
	t.trip.Leave(t.me.ID, t.me.ID, "not diving", t.now)
	a := message.Args{"name": message.Name(t.me.Name), "leader": t.leaderNames()}
	t.send(message.Message{Lines: []message.Line{message.Loud("diver.left", a)}, Buttons: returnButtons()})
	t.queueMoves()
}

func leaveTyped(t *turn, text string) {
	switch t.parse(text, 0).Intent {
	case reply.Yes, reply.NotDiving:
		leavePressed(t, []string{"yes"})
	case reply.No, reply.Cancel:
		leavePressed(t, []string{"no"})
	default:
		t.freely(text)
	}
}

func returnButtons() [][]message.Button {
	return [][]message.Button{oneButton("return", message.Say("diver.return", nil))}
}

// returnPressed takes leaving back.
func returnPressed(t *turn, _ []string) {
	if t.me.Left.IsZero() {
		t.questionGone()
		return
	}
	t.done()
	t.answered[t.me.ID] = true
	t.trip.Join(t.me.ID, t.event.Address, "", t.now)
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("diver.to-leader.returned", message.Args{"name": message.Name(t.me.Name)})}})
	board := t.board()
	t.say(append([]message.Line{message.Say("diver.returned", nil), gap()}, t.personalLines(t.me, board.Of(t.me.ID))...)...)
}

// askForget explains what being forgotten means. The button is acted on where
// all of the person's trips are known; here arrive only a no and stray words.
func askForget(t *turn, _ string) {
	t.ask(stateForget, nil, message.Message{
		Lines: []message.Line{message.Loud("diver.forget.ask", nil), message.Say("diver.forget.means", nil),
			message.Say("diver.forget.board", message.Args{"leader": t.leaderNames()})},
		Buttons: yesNo("forget", message.Say("diver.forget.yes", nil), message.Say("diver.forget.no", nil))})
}

func forgetPressed(t *turn, args []string) {
	if argument(args, 0) != "no" {
		askForget(t, "")
		return
	}
	t.done()
	t.say(message.Say("diver.forget.not", nil))
}

func forgetTyped(t *turn, text string) {
	switch t.parse(text, 0).Intent {
	case reply.No, reply.Cancel:
		forgetPressed(t, []string{"no"})
	case reply.Yes:
		t.say(message.Say("diver.forget.press", nil))
	default:
		t.freely(text)
	}
}

// forget erases the acting person. There is no letter: nobody is left to
// write to.
func (t *turn) forget() {
	t.done()
	t.answered[t.me.ID] = true
	if t.me.Erased {
		return
	}
	open := t.trip.CurrentDive() != 0 && !t.trip.Over(t.now)
	name := t.me.Name
	t.trip.Erase(t.me.ID, t.now)
	if open && t.me.Out == nil && len(t.me.InUse()) > 0 {
		// Said here, while the name is known: the news would have none.
		t.before.left = append(t.before.left, t.me.ID)
		t.tellLeaders(message.Message{Lines: []message.Line{
			message.Loud("diver.to-leader.forgot", message.Args{"name": message.Name(name), "out": message.Code("/out")})}})
	}
	t.queueMoves()
}
