package conversation

import (
	"slices"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Not yet, and trouble with the analyser. The queue itself is in queue.go.

// later is "not yet": nobody is blamed, and who waits for an analyser is told
// when it is free.
func (t *turn) later(r reply.Result) {
	if t.denies(r) {
		t.alarm(reply.NotAnalysed)
		return
	}
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

// denies tells whether somebody says that a cylinder was not analysed, of one that has
// a reading: where that came from is for a leader to settle. Where none is named it is
// said of all, unless one still owes its analysis.
func (t *turn) denies(r reply.Result) bool {
	if !r.Unmade || t.trip.Over(t.now) {
		return false
	}
	owed := t.owedCylinders()
	return slices.ContainsFunc(t.current(t.me()), func(c *roster.Cylinder) bool {
		named := slices.ContainsFunc(r.Later, func(l string) bool { return sameLabel(c.Label, l) })
		return t.read(c) && (named && !sameCylinder(owed, c) || len(r.Later) == 0 && len(owed) == 0)
	})
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
