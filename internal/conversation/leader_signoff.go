package conversation

import (
	"strconv"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The sign-off of one dive. It is refused, a line a reason with the names, while
// anybody is in the way. The leader sees the board in short and confirms; what
// was confirmed is what is signed: the question carries the facts, and when they
// have changed before the press it is asked anew.

// stateSign waits for the yes to a sign-off.
const stateSign State = "leader.sign"

// signData is what the question stands for.
type signData struct {
	Dive  int    `json:"dive"`
	Facts string `json:"facts"` // their hash, and the signature before
}

// signOff is "/signoff [DIVE]".
func signOff(t *turn, args string) {
	dive := t.trip.DefaultDive(t.now)
	if n, ok := t.diveTyped(args); ok {
		if dive = n; t.trip.Dive(n) == nil {
			t.say(message.Say("dived.no-such-dive",
				message.Args{"typed": message.Count(n), "last": message.Count(len(t.trip.Dives))}))
			return
		}
	}
	if t.trip.Dive(dive) == nil {
		t.say(message.Say("sign.all-signed", message.Args{"reopen": message.Code("/reopen"),
			"record": message.Code("/record")}))
		return
	}
	t.signDive(dive)
}

func signOffPressed(t *turn, args []string) {
	if t.trip.Over(t.now) {
		t.sayOver()
		return
	}
	signOff(t, argument(args, 0))
}

// signDive asks first what became of the dives before, then whether to sign.
func (t *turn) signDive(dive int) {
	for n := 1; n < dive; n++ {
		if t.trip.Dive(n).Outcome == nil {
			t.askDived(n, dive)
			return
		}
	}
	if refused := t.trip.Refusals(dive, t.me().ID, t.now); len(refused) > 0 {
		t.refuseSignOff(dive, refused)
		return
	}
	t.confirmSignOff(dive)
}

// refuseSignOff says every reason in a line, with the names, and offers what
// mends it.
func (t *turn) refuseSignOff(dive int, refused []roster.Refusal) {
	t.done()
	b := t.board(dive)
	t.showsAll(&b)
	lines := []message.Line{message.Loud("sign.refused", message.Args{"dive": message.Count(dive)})}
	var m message.Message
	for _, r := range refused {
		switch r.Why {
		case roster.WhyNoGo, roster.WhyNotCleared: // by need, below
			continue
		case roster.WhyBoatCheck, roster.WhyStartMoved:
			m.Buttons = append(m.Buttons, t.boatButton(dive))
		}
		lines = append(lines, message.Say("refused."+string(r.Why), nil))
	}
	m.Lines = append(lines, t.needLines(&b, blocks)...)
	m.Buttons = append(append(m.Buttons, t.needButtons(&b)...),
		oneButton("board "+strconv.Itoa(dive), message.Say("news.button.board", nil)))
	t.send(m)
}

// boatButton opens the boat check of a dive, again where it is open.
func (t *turn) boatButton(dive int) []message.Button {
	do := "lboat " + strconv.Itoa(dive)
	if t.trip.BoatOpened(dive) {
		do += " again"
	}
	return oneButton(do, message.Say("board.button.boat", nil))
}

// confirmSignOff shows the group in a line and asks.
func (t *turn) confirmSignOff(dive int) {
	b := t.board(dive)
	t.showsAll(&b)
	d := signData{dive, t.factsOf(dive)}
	lines := []message.Line{message.Loud("sign.sure",
		message.Args{"dive": message.Count(dive), "plan": message.Of(message.Plan(t.trip.Dives[dive-1]))})}
	if up := t.trip.UpAt(dive - 1); !up.IsZero() && t.trip.Starts(dive).After(t.now) {
		lines = append(lines, t.restLine(dive))
	}
	t.ask(stateSign, d, message.Message{Lines: append(lines, t.shortBoard(&b)...), Buttons: [][]message.Button{
		oneButton("lsigned "+strconv.Itoa(dive)+" "+d.Facts,
			message.Say("sign.button.yes", message.Args{"dive": message.Count(dive)})),
		oneButton("lnotsigned", message.Say("sign.button.no", nil)),
	}})
}

// hashLength is how much of the facts' hash a button carries, in characters: a
// slip of the day never meets the same by chance.
const hashLength = 16

// factsOf is the hash of a dive's facts as of now, with the last signature that there
// was: a button of before that one signs nothing once it was withdrawn.
func (t *turn) factsOf(dive int) string {
	facts := t.trip.FactsOf(dive, t.now)
	hash := facts.Hash()
	hash = hash[:min(len(hash), hashLength)]
	if s := t.trip.Signature(dive); s != nil {
		hash += "." + s.ID
	}
	return hash
}

// shortBoard is what a leader signs: the group in a line, who sits out or is
// outside.
func (t *turn) shortBoard(b *roster.Board) []message.Line {
	lines := []message.Line{t.groupLine(b)}
	for i := range b.People {
		if c := &b.People[i]; c.Out != nil || c.Outside != nil {
			lines = append(lines, t.personLine(c))
		}
	}
	return lines
}

// signed is the confirmation by button.
func signed(t *turn, args []string) {
	dive, err := strconv.Atoi(argument(args, 0))
	if err != nil || len(args) < 2 || t.trip.Over(t.now) {
		t.done()
		t.say(message.Say("sign.over", nil))
		return
	}
	t.confirmed(signData{dive, args[1]})
}

func signTyped(t *turn, text string) {
	var d signData
	t.data(&d)
	switch t.answer(text) {
	case reply.Yes:
		t.confirmed(d)
	case reply.No, reply.Cancel:
		notSigned(t, nil)
	default:
		t.freely(text)
	}
}

// confirmed signs if the facts are those of the question.
func (t *turn) confirmed(d signData) {
	t.done()
	switch {
	case t.trip.Dive(d.Dive) == nil || d.Facts == "":
		t.say(message.Say("sign.over", nil))
	case t.trip.Signed(d.Dive, t.now):
		t.say(message.Say("sign.already", message.Args{"dive": message.Count(d.Dive)}))
	case len(t.trip.Refusals(d.Dive, t.me().ID, t.now)) > 0:
		t.refuseSignOff(d.Dive, t.trip.Refusals(d.Dive, t.me().ID, t.now))
	case t.factsOf(d.Dive) != d.Facts:
		t.say(message.Loud("sign.changed", nil))
		t.signDive(d.Dive)
	default:
		t.sign(d.Dive)
	}
}

func notSigned(t *turn, _ []string) {
	t.done()
	t.say(message.Say("sign.not", nil))
}

// sign signs a dive and tells everybody.
func (t *turn) sign(dive int) {
	b := t.board(dive)
	if refused, ok := t.trip.SignOff(dive, t.me().ID, t.now); !ok {
		t.refuseSignOff(dive, refused)
		return
	}
	a := message.Args{"dive": message.Count(dive), "site": message.Name(t.site(dive)), "at": t.clock(t.now),
		"who": t.nameOf(t.me().ID)}
	lines := append([]message.Line{message.Loud("sign.done", a)}, t.shortBoard(&b)...)
	t.send(message.Message{Lines: lines, Buttons: [][]message.Button{oneButton("ldived "+strconv.Itoa(dive)+" ask",
		message.Say("sign.button.dived", a))}})
	t.happen("dive.signed_off", map[string]any{"dive": dive, "by": t.me().ID, "go": b.Counts.Go,
		"limits": b.Counts.Limits, "out": b.Counts.Out, "outside": b.Counts.Outside})
	for i := range b.People {
		t.tellSigned(&b.People[i], a)
	}
	for _, p := range t.trip.People { // leaders who do not dive are not on the board
		if p.Leader && b.Of(p.ID) == nil {
			t.tellSigned(&roster.Clearance{Person: p.ID, Dive: dive}, a)
		}
	}
}

// tellSigned tells one person of the sign-off, with the verdict it holds.
func (t *turn) tellSigned(c *roster.Clearance, a message.Args) {
	p := t.trip.Person(c.Person)
	if p.ID == t.me().ID || !canBeTold(p) || !c.Active && !p.Leader {
		return
	}
	lines := []message.Line{message.Loud("sign.told.leader", a)}
	if c.Active {
		lines = []message.Line{message.Loud("sign.told", a)}
		for _, own := range p.InUse() {
			if own.Dive == c.Dive {
				lines = append(lines, message.ClearedOf(t.trip.Trip, c, t.calledBy(p, own)))
			}
		}
		t.showed(p.ID, c.Dive)
	}
	t.tell(p.ID, roster.LevelVerdict, true, message.Message{Lines: lines})
}

// stateReopenWhy waits for the reason of taking a signature back.
const stateReopenWhy State = "leader.reopen-why"

// reopen is "/reopen [DIVE] REASON": it takes the last signature back.
func reopen(t *turn, args string) {
	dive, reason := t.takeScope(args)
	if dive == 0 {
		dive = t.lastSigned()
	}
	reason = orders.Clip(reason, orders.LongestReason)
	switch {
	case dive == 0 || !t.trip.Signed(dive, t.now):
		t.done()
		t.say(message.Say("reopen.none", nil))
	case reason == "":
		t.ask(stateReopenWhy, nil, message.Message{Lines: []message.Line{message.Say("reopen.ask-reason",
			message.Args{"dive": message.Count(dive)})}})
	default:
		t.done()
		t.withdrawSignature(dive, reason)
	}
}

// lastSigned is the last dive whose signature stands and that was not dived.
func (t *turn) lastSigned() int {
	for n := len(t.trip.Dives); n > 0; n-- {
		if t.trip.Signed(n, t.now) && !t.trip.WasDived(n) {
			return n
		}
	}
	return 0
}

func (t *turn) withdrawSignature(dive int, reason string) {
	a := t.signatureArgs(dive)
	a["who"], a["reason"] = t.nameOf(t.me().ID), message.Of(reasonLine(reason))
	if !t.trip.Withdraw(dive, t.me().ID, reason, t.now) {
		t.say(message.Say("reopen.none", nil))
		return
	}
	t.send(message.Message{Lines: []message.Line{message.Loud("reopen.leader", a), message.Say("reopen.leader.do", nil)},
		Buttons: [][]message.Button{oneButton("board "+strconv.Itoa(dive), message.Say("news.button.board", nil))}})
	t.alertLeaders(message.Message{Lines: []message.Line{message.Loud("reopen.leader", a)}})
	for _, p := range t.trip.People {
		if canBeTold(p) && !p.Leader && t.clearance(p.ID, dive).Active {
			t.tell(p.ID, roster.LevelVerdict, true,
				message.Message{Lines: []message.Line{message.Loud("broken.diver", a), message.Say("broken.diver.do", a)}})
		}
	}
}

func reopenWhyTyped(t *turn, text string) {
	if reason, ok := t.reasonIn(text); ok {
		reopen(t, reason)
	}
}
