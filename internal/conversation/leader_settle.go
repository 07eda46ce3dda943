package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What somebody said that a leader has to settle: helium, words of alarm. The
// leader always reads the words themselves, and settles those that they read.

// slipButton says of certain words of somebody that they are all right, or were a
// slip. A button of other words settles nothing of these.
func slipButton(p roster.PersonID, ids []string) message.Button {
	return message.Button{Label: message.Say("news.button.slip", nil),
		Do: "lslip " + string(p) + " " + strings.Join(ids, " ")}
}

// speakIDs name all that is to be settled.
func speakIDs(said []roster.Speak) []string {
	ids := make([]string, len(said))
	for i, s := range said {
		ids[i] = s.ID
	}
	return ids
}

// speakKey is the key of the news of what somebody said: other words are other news.
func speakKey(p *roster.Person) string {
	key := string(p.ID) + ":" + string(gas.RuleSpeak)
	if n := len(p.Speak); n > 0 {
		key += ":" + p.Speak[n-1].ID
	}
	return key
}

// quoted are the words that are to be settled, as they were said.
func quoted(said []roster.Speak) message.Line {
	words := make([]string, len(said))
	for i, s := range said {
		words[i] = s.Was
	}
	return message.Say("pass-on.text", message.Args{"text": message.Text(strings.Join(words, " / "))})
}

// slipPressed is a leader's word that what somebody said is all right, or was a slip.
func slipPressed(t *turn, args []string) {
	p, _, ok := t.knownPerson(args)
	switch {
	case !ok || len(p.Speak) == 0:
		t.questionOver()
	case len(args) < 2 || !t.trip.Settled(p.ID, t.me().ID, t.now, args[1:]...):
		t.done()
		t.send(t.unsettled(p.ID, message.Say("diver.question-gone", nil)))
	default:
		t.saySettled(p)
	}
}

// settleCard ends what somebody said of having no card at hand.
func (t *turn) settleCard(p *roster.Person) bool {
	cards := slices.DeleteFunc(slices.Clone(p.Speak), func(s roster.Speak) bool { return s.Kind != roster.SpeakNoCard })
	return len(cards) > 0 && t.trip.Settled(p.ID, t.me().ID, t.now, speakIDs(cards)...)
}

// saySettled tells the leader and the diver that what was said is settled, or the
// leader what is not.
func (t *turn) saySettled(p *roster.Person) {
	a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.me().ID)}
	done := message.Say("slip.done", a)
	if len(t.trip.Person(p.ID).Speak) > 0 {
		t.send(t.unsettled(p.ID, done))
		return
	}
	t.say(append([]message.Line{done}, t.verdictLines(t.dive(), p)...)...)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Say("slip.told", a)}})
}

// unsettled is, below other lines, what somebody said that is still to be settled,
// with the buttons for it.
func (t *turn) unsettled(id roster.PersonID, lines ...message.Line) message.Message {
	m := message.Message{Lines: lines}
	for _, n := range t.ahead() {
		cl := t.clearance(id, n)
		at := slices.IndexFunc(cl.Verdict.Findings, func(f gas.Finding) bool {
			return f.Rule == gas.RuleSpeak && f.Severity == gas.Missing
		})
		if cl.Active && at >= 0 {
			i := t.findingNews(cl, cl.Verdict.Findings[at], speakKey(t.trip.Person(id)))
			t.saidNews[i.key] = true
			m.Lines, m.Buttons = append(m.Lines, i.lines...), i.buttons
			break
		}
	}
	return m
}
