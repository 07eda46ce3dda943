package reply

import (
	"slices"
	"strings"
)

// Who held the hose, and who read: what somebody else did beside the sender.

// helpsAlong tells whether token i begins a clause that says what somebody else did
// beside the sender: "my wife held the hose".
func (m *message) helpsAlong(i int) bool {
	return m.helped(i) && m.left(i, on, aside, and) < 0
}

func (m *message) helped(i int) bool {
	return m.clauseHas(i, func(t token) bool { return t.kind == kWord && m.words.helpers[lowerCase(t.text)] })
}

// helperRead tells whether the clause of token i says what somebody else did, and a verb
// gives the number without saying who read it: "my aunt held it and read 31.4".
func (m *message) helperRead(i int) bool {
	read := func(t token) bool {
		return t.role == measured && !m.ownRead(t) && !m.words.its[lowerCase(t.text)]
	}
	return m.helped(i) && slices.ContainsFunc(m.toks, read)
}

// ownRead tells whether a verb says that it was the sender who read. Where verbs have no
// person it takes a word for it.
func (m *message) ownRead(t token) bool {
	person := !isUnspaced([]rune(t.text)[0]) || strings.ContainsAny(t.text, "我俺咱自亲本私僕")
	return person && m.own(t)
}
