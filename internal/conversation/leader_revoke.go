package conversation

import (
	"strconv"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// A new link for somebody: a lost phone, a link in the wrong hands, an invite
// that never arrived. The old link and the phone that came by it are out.

// stateRevoke waits for the yes to taking somebody's phone out.
const stateRevoke State = "leader.revoke"

type revokeData struct {
	Person     roster.PersonID `json:"person"`
	Generation int             `json:"generation"` // of the link that is to go
}

// revokeLink replaces a person's link; where that takes a phone out, it asks
// once.
func revokeLink(t *turn, p *roster.Person, _ string) {
	if !t.mayRevoke(p) {
		return
	}
	if p.Joined.IsZero() {
		t.revokeNow(p)
		return
	}
	a := message.Args{"name": t.nameOf(p.ID)}
	lines := []message.Line{message.Loud("revoke.ask", a), message.Say("revoke.means", a)}
	if p.Leader {
		lines = append(lines, message.Say("revoke.leads", a))
	}
	t.ask(stateRevoke, revokeData{p.ID, p.Generation}, message.Message{Lines: lines, Buttons: [][]message.Button{
		oneButton("lrevoke "+string(p.ID)+" "+strconv.Itoa(p.Generation), message.Say("revoke.button.yes", a)),
		oneButton("lnotrevoked", message.Say("revoke.button.no", nil)),
	}})
}

// mayRevoke says why a link can't be replaced. Whoever asks keeps theirs, so
// that a leader always stays on the trip.
func (t *turn) mayRevoke(p *roster.Person) bool {
	a := message.Args{"name": t.nameOf(p.ID)}
	switch {
	case p.ID == t.me().ID:
		t.say(message.Say("revoke.self", nil))
	case p.Erased || !p.Left.IsZero():
		t.say(message.Say("revoke.left", a))
	default:
		return true
	}
	return false
}

func revokeTyped(t *turn, text string) {
	var d revokeData
	t.data(&d)
	switch t.answer(text) {
	case reply.Yes:
		t.revokeGeneration(d)
	case reply.No, reply.Cancel:
		notRevoked(t, nil)
	default:
		t.freely(text)
	}
}

// revokePressed is the yes. It is about one generation of the link: pressed
// again it does nothing.
func revokePressed(t *turn, args []string) {
	generation, err := strconv.Atoi(argument(args, 1))
	if err != nil {
		t.questionOver()
		return
	}
	t.revokeGeneration(revokeData{roster.PersonID(argument(args, 0)), generation})
}

func (t *turn) revokeGeneration(d revokeData) {
	p := t.trip.Person(d.Person)
	switch {
	case t.trip.Over(t.now):
		t.done()
		t.sayOver()
	case p == nil || p.Generation != d.Generation:
		t.questionOver()
	default:
		t.done()
		if t.mayRevoke(p) {
			t.revokeNow(p)
		}
	}
}

func notRevoked(t *turn, _ []string) {
	t.done()
	t.say(message.Say("revoke.kept", nil))
}

// revokeNow replaces the link and hands out the new one.
func (t *turn) revokeNow(p *roster.Person) {
	cut := !p.Joined.IsZero()
	t.trip.Revoke(p.ID, t.me().ID, t.now)
	reminders.Renew(t.trip, p.ID)
	p = t.trip.Person(p.ID)
	a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.me().ID)}
	lines := []message.Line{message.Loud("revoke.done", a)}
	if cut {
		lines = append(lines, message.Say("revoke.cut", a))
	}
	lines = append(lines,
		message.Say("revoke.page", a), link(message.PageLink(p.ID, p.Generation)),
		message.Say("revoke.chat", a), link(message.ChatLink(p.ID, p.Generation)),
		message.Say("revoke.send", a))
	t.say(lines...)
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("revoke.by", a)}})
	t.queueMoves()
}

// link is an address on a line that can be copied as it is.
func link(v message.Value) message.Line {
	return message.Row("revoke.link", message.Args{"link": v})
}
