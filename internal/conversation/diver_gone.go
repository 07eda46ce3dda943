package conversation

import (
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
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
	if !t.me().Left.IsZero() {
		t.send(message.Message{Lines: []message.Line{message.Say("diver.left.already", nil)}, Buttons: returnButtons()})
		return
	}
	if t.leavesNoLeader() {
		t.askHandOver()
		return
	}
	t.ask(stateLeave, nil, message.Message{
		Lines: []message.Line{message.Loud("diver.leave.ask", message.Args{"trip": message.Name(t.trip.Name)}),
			message.Say("diver.leave.means", message.Args{"leader": t.leaderNames()})},
		Buttons: yesNo("leave", message.Say("diver.leave.yes", nil), message.Say("diver.leave.no", nil))})
}

// askNotDiving is "not diving today": the same, said otherwise.
func (t *turn) askNotDiving() {
	if !t.me().Left.IsZero() {
		askLeave(t, "")
		return
	}
	if t.leavesNoLeader() {
		t.askHandOver()
		return
	}
	t.ask(stateLeave, nil, message.Message{
		Lines:   []message.Line{message.Loud("diver.not-diving.ask", message.Args{"leader": t.allLeaders()})},
		Buttons: yesNo("leave", message.Say("diver.not-diving.yes", nil), message.Say("diver.leave.no", nil))})
}

func leavePressed(t *turn, args []string) {
	t.done()
	switch {
	case argument(args, 0) == "no":
		t.send(t.expecting(message.Say("diver.leave.not", nil)))
	case argument(args, 0) != "yes":
		t.questionGone()
	case !t.me().Left.IsZero():
		askLeave(t, "")
	case t.trip.Over(t.now):
		t.say(message.Loud("diver.over", nil))
	case t.leavesNoLeader():
		t.askHandOver()
	default:
		t.leave()
	}
}

func (t *turn) leave() {
	t.showed(t.me().ID)
	t.trip.Leave(t.me().ID, t.me().ID, "not diving", t.now)
	a := message.Args{"name": message.Name(t.me().Name), "leader": t.leaderNames()}
	t.send(message.Message{Lines: []message.Line{message.Loud("diver.left", a)}, Buttons: returnButtons()})
	t.queueMoves()
}

func leaveTyped(t *turn, text string) {
	switch t.answer(text) {
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

// returnPressed asks the leaders to take leaving back: who left is in the way
// until one of them decides.
func returnPressed(t *turn, _ []string) {
	if t.me().Left.IsZero() {
		t.questionGone()
		return
	}
	t.done()
	t.asksBack()
	t.say(message.Say("diver.return.asked", message.Args{"leader": t.allLeaders()}))
}

// asksBack tells the leaders that who left wants to dive after all.
func (t *turn) asksBack() {
	t.tellLeaders(message.Message{Lines: []message.Line{message.Loud("diver.to-leader.returns",
		message.Args{"name": message.Name(t.me().Name)})},
		Buttons: [][]message.Button{oneButton("lbring "+string(t.me().ID), message.Say("news.button.bring-back", nil))}})
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
	switch t.answer(text) {
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
	if t.me().Erased {
		return
	}
	name, dived := t.me().Name, t.me().Dives()
	t.showed(t.me().ID)
	t.trip.Erase(t.me().ID, t.now)
	if dived && t.trip.DefaultDive(t.now) != 0 && !t.trip.Over(t.now) {
		// Said here, while the name is known: the news would have none.
		t.saidAll[string(t.actor)+":"+string(gas.RuleLeft)] = true
		t.alertLeaders(message.Message{Lines: []message.Line{
			message.Loud("diver.to-leader.forgot", message.Args{"name": message.Name(name), "out": message.Code("/out")})},
			Buttons: [][]message.Button{oneButton("lout "+string(t.actor)+" 0", message.Say("news.button.out", nil))}})
	}
	t.queueMoves()
}
