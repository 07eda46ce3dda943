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

// overruled makes nothing of a whole number that a label or somebody says, where a clause
// behind it says what an instrument shows, and there is no other: "the label says 32, the
// analyser 30.3".
func (m *message) overruled() {
	said, shown := m.twoNumbers()
	if shown < 0 || !m.toks[said].whole() || !m.toks[said].plausible() || m.toks[shown].decimals == 0 {
		return
	}
	clause, subjects := m.toks[said].clause, 0
	for j, t := range m.toks {
		if t.clause != clause || j == said || t.kind.separates() {
			continue
		}
		if t.kind != kWord || !t.plays(subject, measured, neutral, and, but) {
			return
		}
		if t.role == subject {
			subjects++
		}
	}
	meter := m.clauseHas(shown, func(t token) bool {
		return t.kind == kWord && m.anyWord(t, func(w string) bool { return m.words.words[w] == analyser })
	})
	if subjects == 0 || !meter || m.toks[shown].clause <= clause {
		return
	}
	for j := range m.toks {
		if m.toks[j].clause == clause && m.toks[j].role == subject || j == said {
			m.toks[j].kind, m.toks[j].role, m.toks[j].done = kWord, neutral, true
		}
	}
}

// twoNumbers are the numbers of a message that has just two but labels, else -1.
func (m *message) twoNumbers() (first, second int) {
	first, second = -1, -1
	for j, t := range m.toks {
		switch {
		case t.kind == kLabel, t.kind == kNumber && m.isKnown(t):
		case t.kind != kNumber && t.kind != kTwoWays && t.kind != kBad && t.kind != kCompound && t.kind != kBlend:
		case t.kind != kNumber || t.unit != noUnit || second >= 0:
			return -1, -1
		case first < 0:
			first = j
		default:
			second = j
		}
	}
	return first, second
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
