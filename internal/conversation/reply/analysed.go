package reply

import (
	"slices"
	"strings"
)

// didInClause tells whether the clause of token i says that its sender analysed, and
// nothing in it is yet to be done: "measured it on the dock and got 31.9". Without
// that a place may be where somebody else measured.
func (m *message) didInClause(i int) bool {
	verb := func(t token) bool { return t.role == measured }
	return m.clauseHas(i, m.own) && m.clauseHas(i, verb) &&
		!m.clauseHas(i, func(t token) bool { return t.plays(saidNotYet, will, act) })
}

// wasMeasured tells whether token i says of a number that it was, right behind what
// somebody did while the sender analysed: "my buddy watched me and it was 31.8". Alone it
// may be of another day.
func (m *message) wasMeasured(i int) bool {
	n := m.right(i)
	if !m.words.was[lowerCase(m.toks[i].text)] || !m.readingAt(n) || m.toks[n].decimals == 0 {
		return false
	}
	return slices.ContainsFunc(m.toks[:i], func(t token) bool {
		return t.clause == m.toks[i].clause-1 && t.kind == kWord && m.words.stoodBy[lowerCase(t.text)]
	})
}

// timesMeasured tells whether token i says how often the sender analysed, with one
// number that came of it: "measured 2 times, 32.3". Two numbers are for a question.
func (m *message) timesMeasured(i int) bool {
	t := m.toks[i]
	return t.whole() && t.value >= 2 && t.value <= 5 && len(m.found) == 1 && m.toks[m.found[0].tok].decimals > 0 &&
		slices.ContainsFunc(m.toks, func(t token) bool { return t.role == measured })
}

// countsTimes tells whether "both", token i, may count something else than cylinders:
// measurements, since the message says that there were several. Whatever it counts, one
// number is of the cylinder that was asked about.
func (m *message) countsTimes(i int) bool {
	cylinders := m.anyWord(m.toks[i], func(w string) bool { return m.words.words[w] == labelled })
	next := m.right(i)
	cylinders = cylinders || next >= 0 && m.toks[next].role == labelled
	return m.saysTimes() || !cylinders && slices.ContainsFunc(m.toks, func(t token) bool { return t.role == again })
}

// saysTimes tells whether the message says how often something was measured: then
// "both" is of those times.
func (m *message) saysTimes() bool {
	return slices.ContainsFunc(m.toks, func(t token) bool {
		return t.is == isOther && t.unit == unitTimes || t.kind == kWord && m.ofTimes(t)
	})
}

// ofTimes tells whether a phrase says how often: "lo he mirado dos veces", 看了两次,
// 二回測りました.
func (m *message) ofTimes(t token) bool {
	often := func(w string) bool { return m.words.units[w] == unitTimes || m.words.times[w] }
	if m.anyWord(t, often) {
		return true
	}
	runes := []rune(t.text)
	for i := 1; i < len(runes) && isUnspaced(runes[0]); i++ {
		if strings.ContainsRune("两兩二三四五2345", runes[i-1]) && often(string(runes[i])) {
			return true
		}
	}
	return false
}

// meters are how many analysers the message names.
func (m *message) meters() (n int) {
	for _, t := range m.toks {
		if t.role == meterName || t.is == isMeter {
			n++
		}
	}
	return n
}
