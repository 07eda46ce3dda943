package reply

import "slices"

// What a word or sign must stand beside to have its place.

// numberBeside tells whether a number stands before or after token i: "but"
// sets one against the other, and anything else it sets against the number.
func (m *message) numberBeside(i, step int) bool {
	for j := i + step; j >= 0 && j < len(m.toks); j += step {
		if m.toks[j].is != isOpen || m.toks[j].role == saidNotYet || m.toks[j].role == air {
			return true
		}
	}
	return false
}

// ofVerb tells whether the clause of a particle has the verb of an instrument
// that it belongs to: "came 31.6 out".
func (m *message) ofVerb(i int) bool {
	return m.clauseHas(i, func(t token) bool { return t.role == measured })
}

// ofLater tells whether the clause says only that a cylinder is done later:
// "I'll do 22 on the boat". There is room in it for where and when.
func (m *message) ofLater(i int) bool {
	later := func(t token) bool { return t.done && t.plays(saidNotYet, will, inPlace) }
	number := func(t token) bool { return t.is == isReading || t.is == isDoubt }
	return m.clauseHas(i, later) && !m.clauseHas(i, number)
}

// clauseHas tells whether any token of the clause of token i is one of some.
func (m *message) clauseHas(i int, some func(token) bool) bool {
	in := func(t token) bool { return t.clause == m.toks[i].clause && some(t) }
	return slices.ContainsFunc(m.toks, in)
}

// addressed tells whether a name for people is whom the message is said to:
// behind a greeting or a number, or alone in its clause. "Captain 32.4" and
// "32.4 the captain" may be the captain's.
func (m *message) addressed(i int) bool {
	if i+1 < len(m.toks) && m.toks[i+1].role == saidHello {
		return true
	}
	if i == 0 && len(m.toks) > 1 && m.words.its[lowerCase(m.toks[1].text)] {
		return true // "sir it's 32.4"
	}
	if i == 1 && m.words.calls[lowerCase(m.toks[0].text)] {
		return true // "hey boss 32.4"
	}
	if m.words.han && i > 1 && m.toks[i-1].role == measured && m.toks[i-2].is == isReading && m.right(i) < 0 {
		return true // 30.7やで兄貴
	}
	if m.words.han && i == 0 && len(m.toks) > 1 && m.toks[1].decimals > 0 && !m.toks[1].glued {
		return true // 老板 30.6: what is theirs has a particle
	}
	if i > 0 && (m.toks[i-1].plays(saidHello, saidThanks, saidYes) || m.toks[i-1].is == isReading && m.right(i) < 0) {
		return true
	}
	return m.alone(i)
}

// readBefore tells whether a word of consent stands right behind a number:
// "32.4 ok" may be a question, 32.4そうです is hearsay.
func (m *message) readBefore(i int) bool {
	for j := i - 1; j >= 0 && m.toks[j].clause == m.toks[i].clause; j-- {
		if m.toks[j].is == isReading {
			return !isSign(m.toks[i].text)
		}
	}
	return false
}

// dashes are bullets, the sign between a label and its number, and hyphens.
func (m *message) dashes(i int) bool {
	t := m.toks[i]
	start := i == 0 || m.toks[i-1].kind == kBreak
	nextGlued := i+1 < len(m.toks) && m.toks[i+1].glued
	switch {
	case start:
		return !nextGlued
	case i+1 == len(m.toks):
		return t.glued && m.toks[i-1].kind == kWord // でした〜
	case m.toks[i-1].is == isLabel || m.toks[i-1].is == isDive:
		return true
	}
	drawn := m.words.han && t.glued // 測れた〜32.4
	return m.toks[i-1].kind == kWord && (m.toks[i+1].kind == kWord || !nextGlued || !t.glued || drawn)
}

// leads tells whether a word like "on" leads to something: a label, an
// analyser, or the number of a clause that says of what or by what it is.
// "Back in 20" and "I'm on 32" say neither.
func (m *message) leads(i int) bool {
	next := i + 1
	for next < len(m.toks) && m.toks[next].kind == kWord && (m.toks[next].role == neutral || m.toks[next].role == on) {
		next++
	}
	if next >= len(m.toks) || m.toks[next].is != isReading {
		return true
	}
	if m.anyWord(m.toks[i], func(w string) bool { return m.words.words[w] == analyser }) {
		return m.toks[next].decimals > 0 // "con el analizador 31,4"
	}
	if i > 1 && m.toks[i-1].kind == kComma && m.toks[i-2].is == isLabel {
		return m.toks[next].decimals > 0 // "la 17, con 32,4"
	}
	for j := next - 1; j >= 0 && m.toks[j].clause == m.toks[i].clause; j-- {
		t := m.toks[j]
		if t.is == isLabel || t.is == isDive || t.is == isMeter ||
			t.plays(measured, labelled, percent, analyser, both, noting, changing, remark) || m.measuring(t) {
			return true
		}
	}
	return m.toks[next].decimals > 0 && (m.toks[next].percent || m.changes(next))
}
