package conversation

import (
	"gasmuster/internal/message"
)

// Not yet, and trouble with the analyser. The queue itself is in queue.go.

// later is "not yet": nobody is blamed, and who waits for an analyser is told
// when it is free.
func (t *turn) later() {
	if !t.mayRead() {
		return
	}
	if len(t.owedCylinders()) == 0 { // it may mean anything
		t.notUnderstood()
		return
	}
	t.send(t.expecting(message.Say("diver.later", nil)))
	t.enqueue(t.me())
}

func passPressed(t *turn, _ []string) { t.pass() }

// trouble is an analyser that does not work: the leader hears of it.
func (t *turn) trouble() {
	a := message.Args{"name": message.Name(t.me().Name), "leader": t.leaderNames(),
		"analyser": message.Of(message.Say("diver.analyser.some", nil))}
	if name := t.analyserFor(""); name != "" {
		a["analyser"] = message.Of(message.Say("diver.analyser.named", message.Args{"analyser": message.Name(name)}))
	}
	t.say(message.Loud("diver.trouble", a), message.Say("diver.trouble.do", a))
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("diver.to-leader.trouble", a)}})
}
