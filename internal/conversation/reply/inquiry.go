package reply

import "slices"

// Questions beside a reading that ask nothing of it: "31.4, may I dive?".

// followsUp tells whether question mark i ends a question that touches no number:
// "31.4, can we go?". Right behind a number it asks nothing of that either.
func (m *message) followsUp(i int) bool {
	asked := false
	for j := i - 1; j >= 0 && m.toks[j].clause == m.toks[i].clause; j-- {
		t := m.toks[j]
		if t.is == isReading && t.decimals > 0 && asked {
			return true
		}
		asked = asked || t.kind == kWord && m.words.followUps[lowerCase(t.text)]
		if !t.plays(asides...) && t.kind != kEmoji && t.kind != kAsk && !m.partsClauses(j) {
			return false
		}
	}
	return asked || i > 0 && m.toks[i-1].kind == kAsk && m.followsUp(i-1)
}

// inquires tells whether a question mark belongs to a question that says nothing of the
// reading before it: "31.4, may I dive?". The Spanish one stands before it as well.
func (m *message) inquires(i int) bool {
	opens := !m.toks[i].glued && i+1 < len(m.toks) && m.toks[i+1].glued
	if opens && m.inquiry(i+1, 1) {
		return slices.ContainsFunc(m.toks[i+1:], func(t token) bool { return t.kind == kAsk })
	}
	return m.inquiry(i-1, -1)
}

// inquiry tells whether the tokens from i on, to the next sign or reading, are such a question.
func (m *message) inquiry(i, step int) bool {
	asked := false
	for ; i >= 0 && i < len(m.toks); i += step {
		t := m.toks[i]
		if t.kind.separates() || t.is == isReading {
			break
		}
		if !t.plays(aside, neutral, vocative, and, but, saidHello) && t.kind != kEmoji {
			return false
		}
		asked = asked || m.words.inquiries[lowerCase(t.text)] || t.role == saidHello // "all well?"
	}
	return asked
}
