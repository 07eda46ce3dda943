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

// isReason tells whether text is the reason that was asked for; if not, it was answered.
func (t *turn) isReason(text string) bool {
	again := hashOf(bareWords(text))
	declined, answer := reply.Declined(text, t.knownOf(0)), t.answer(text)
	switch word := orders.IsReasonWord(text); {
	case word: // "not diving today", as on the button
		return true
	case answer == reply.No, answer == reply.Cancel, declined == reply.Declines:
		t.done()
		t.say(message.Say("leader.cancelled", nil))
	case answer.IsNoReason(), declined == reply.MayDecline && looser[t.session.State] && t.session.Doubted != again:
		t.session.Doubted = again
		t.say(message.Say("leader.reason-sure", message.Args{"typed": message.Name(orders.Clip(text, orders.LongestReason))}))
	default:
		return true
	}
	return false
}

// withReason goes on with the person that the question was about, for the reason typed.
func (t *turn) withReason(text string, run personCommand) {
	if t.isReason(text) {
		t.withPerson(text, run)
	}
}
