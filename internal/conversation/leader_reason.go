package conversation

import (
	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// The reason that a leader is asked for. A no, a wait or "never mind" is none and
// ends the question. What may be one or the other ("wrong gas", "wrong name") is the
// reason of what makes the day stricter, and else is taken when it is sent again.

// looser are the questions whose answer may clear somebody, or the way of a signature.
var looser = map[State]bool{stateBack: true, stateOutside: true}

// reasonIn is the reason in what was typed; none where that is neither a reason nor a
// no, so that it is asked for again. It is false where the text was answered.
func (t *turn) reasonIn(text string) (reason string, ok bool) {
	again := hashOf(bareWords(text))
	declined, answer := reply.Declined(text, t.knownOf(0)), t.answer(text)
	switch word := orders.IsReasonWord(text); {
	case word: // "not diving today", as on the button
		return text, true
	case answer == reply.No, answer == reply.Cancel, declined == reply.Declines:
		t.done()
		t.say(message.Say("leader.cancelled", nil))
		return "", false
	case answer.IsNoReason():
		return "", true
	case declined == reply.MayDecline && looser[t.session.State] && t.session.Doubted != again:
		t.session.Doubted = again
		t.say(message.Say("leader.reason-sure", message.Args{"typed": message.Name(orders.Clip(text, orders.LongestReason))}))
		return "", false
	}
	return text, true
}

// withReason goes on with the person that the question was about, for the reason typed.
func (t *turn) withReason(text string, run personCommand) {
	if reason, ok := t.reasonIn(text); ok {
		t.withPerson(reason, run)
	}
}
