package conversation

import (
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// A reading after the last sign-off is late news: it reopens the dive and the
// leaders hear of it. A slip of the thumb must not do that, so it is asked.

// stateReopen waits for a yes; its data are the pendings.
const stateReopen State = "diver.reopen"

func (t *turn) askReopen(d pendings) {
	t.ask(stateReopen, d, message.Message{
		Lines: []message.Line{message.Loud("diver.reopen", nil),
			message.Say("diver.reopen.do", message.Args{"leader": t.leaderNames()})},
		Buttons: [][]message.Button{
			oneButton("reopen yes", message.Say("diver.reopen.yes", nil)),
			oneButton("reopen no", message.Say("diver.reopen.no", nil))}})
}

func reopenPressed(t *turn, args []string) {
	switch {
	case t.session.State != stateReopen:
		t.questionGone()
	case argument(args, 0) == "yes":
		var d pendings
		t.data(&d)
		d.Reopen = true
		if t.mayRead() {
			t.settle(d)
		}
	default:
		t.done()
		t.say(message.Say("diver.reopen.not", nil))
	}
}

func reopenTyped(t *turn, text string) {
	switch t.parse(text, 0).Intent {
	case reply.Yes:
		reopenPressed(t, []string{"yes"})
	case reply.No, reply.Cancel:
		reopenPressed(t, []string{"no"})
	default:
		t.freely(text)
	}
}
