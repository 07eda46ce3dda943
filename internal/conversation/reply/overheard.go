package reply

import "slices"

// Some answers can make nothing greener: that a cylinder is done later, that it
// was out of sight or filled again, that somebody does not know; nor can taking
// back what was sent. They are heard among words that nobody knows, so that
// people need not find our words for them: "later, I'm still squeezing into my
// suit". A yes, a no and "it stayed with me" are never heard like that.

// overhears are those answers, and the roles of words that none may stand beside.
var overhears = map[Intent][]role{
	NotYet:     {withMe, unparted, stay, noting},
	OutOfSight: {withMe, unparted, deny, never, maybeNo, firmNo, doubtful, always},
	Refilled:   {withMe, unparted, deny, never, maybeNo, firmNo, doubtful, expected, subject},
	Unsure:     {withMe, unparted, stay, always},
	DontKnow:   {withMe, unparted, stay, always},
	Undo:       {withMe, unparted, deny, never, maybeNo, firmNo, doubtful, span, subject, other, helium},
}

// overheard is the one such answer of a message that says nothing else, None
// when there is none.
func (m *message) overheard(said []Intent) Intent {
	in := overheardOf(said)
	if in == None && slices.ContainsFunc(m.toks, func(t token) bool { return t.role == will }) {
		in = overheardOf(append([]Intent{NotYet}, said...))
	}
	bars, ok := overhears[in]
	if !ok {
		return None
	}
	for i, t := range m.toks {
		switch {
		case m.asks(i), t.kind == kWord && t.plays(bars...) && !t.done:
			return None
		case t.kind == kWord, t.is == isLabel, t.is == isMeter, t.unit == unitMinutes && in != Undo,
			t.unit == unitQueue && in == NotYet:
		case t.kind.separates(), t.kind == kEmoji, t.kind == kDash, t.kind == kArrow:
		default:
			return None
		}
	}
	return in
}

// unmade tells whether a word for later denies an analysis: "I haven't measured it".
func (m *message) unmade() bool {
	return slices.ContainsFunc(m.toks, func(t token) bool {
		return t.plays(saidNotYet, will) && m.words.unmade[lowerCase(t.text)]
	})
}

// overheardOf leaves out what may stand beside such an answer: courtesies, the
// no before "I left it there", the weaker of two that come to the same.
func overheardOf(said []Intent) Intent {
	var main []Intent
	for _, in := range said {
		if !polite[in] && !outweighed(in, said) {
			main = append(main, in)
		}
	}
	if len(main) != 1 {
		return None
	}
	return main[0]
}

// outweighs are, of two answers, those that count.
var outweighs = map[Intent][]Intent{
	NotYet:     {Trouble, No, Pass, Cancel},
	OutOfSight: {No, NotYet}, // "for ten minutes"
	Refilled:   {OutOfSight, No, NotYet},
	Unsure:     {DontKnow, No},
	DontKnow:   {No},
	Undo:       {Cancel, No},
}

func outweighed(in Intent, said []Intent) bool {
	for _, o := range said {
		if slices.Contains(outweighs[o], in) {
			return true
		}
	}
	return false
}
