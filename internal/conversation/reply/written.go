package reply

import (
	"slices"
	"strings"
)

// What is written on a cylinder is its label, whoever wrote it: "it says 32 on
// the tank", "auf der 17 steht 32". A cylinder has no display. With the name of
// an instrument in the clause it is that which says so.

// written refuses a verb that may be of writing where the clause says that it
// stands on a cylinder.
func (m *message) written() {
	meter := func(t token) bool {
		named := m.anyWord(t, func(w string) bool { return m.words.words[w] == analyser })
		return t.is == isMeter || t.kind == kWord && named
	}
	for i, t := range m.toks {
		part := m.anyWord(t, func(w string) bool { return m.words.writes[w] })
		writes := t.kind == kWord && (part || m.words.writes[lowerCase(t.text)])
		if writes && !m.clauseHas(i, meter) && m.uponCylinder(i) {
			m.refuse(i, Words)
			m.reason.Role = string(subject)
		}
	}
}

// saysMeter tells whether token i says what stands written, and on an instrument: "31,4
// steht drauf auf dem Messgerät".
func (m *message) saysMeter(i int) bool {
	if !m.words.writes[lowerCase(m.toks[i].text)] {
		return false
	}
	next := m.right(i, on)
	return next >= 0 && (m.toks[next].role == analyser || m.toks[next].is == isMeter)
}

// uponCylinder tells whether the clause of token i has a word like "upon" that
// leads to a cylinder.
func (m *message) uponCylinder(i int) bool {
	for j, t := range m.toks {
		upon := t.kind == kWord && m.anyWord(t, func(w string) bool { return m.words.upon[w] })
		if upon && j != i && t.clause == m.toks[i].clause && (m.ofCylinder(t) || m.leadsToCylinder(j)) {
			return true
		}
	}
	return false
}

func (m *message) leadsToCylinder(i int) bool {
	for i++; i < len(m.toks) && m.toks[i].kind == kWord && m.toks[i].role == neutral; i++ {
		if m.ofCylinder(m.toks[i]) {
			return true
		}
	}
	return i < len(m.toks) && (m.toks[i].role == labelled || m.toks[i].is == isLabel)
}

// ofCylinder tells whether a phrase has a word for a cylinder in it.
func (m *message) ofCylinder(t token) bool {
	return m.anyWord(t, func(w string) bool { return m.words.words[w] == labelled })
}

// anyWord tells whether one of the words of a phrase is one of some.
func (m *message) anyWord(t token, some func(string) bool) bool {
	return slices.ContainsFunc(strings.Fields(lowerCase(t.text)), some)
}
