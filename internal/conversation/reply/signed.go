package reply

import (
	"slices"
	"strings"
	"unicode"
)

// Names of people that say nothing of whose a number is: the sender's own, where words
// of introduction or farewell say so, and that of who held the hose meanwhile. A name
// is a word with a capital that nothing else is known of. Any other name is not
// accounted for: "Petra 32.4".

// signed makes nothing of such names: "32.4, regards, Petra", "my name is Petra and it's
// 32.4", "Petra held the hose".
func (m *message) signed() {
	for i := range m.toks {
		w := lowerCase(m.toks[i].text)
		switch {
		case m.toks[i].kind != kWord:
		case m.words.introduces[w] && m.opensClause(i):
			m.introduced(i)
		case m.words.farewells[w], m.toks[i].role == saidThanks:
			m.signature(i)
		case m.words.stoodBy[w]:
			m.stoodBy(i)
		}
	}
}

// calledAt is how many tokens from i on are a name, or a first and a last one.
func (m *message) calledAt(i int) int {
	n := 0
	for n < 2 && i+n < len(m.toks) && m.isCalled(m.toks[i+n]) {
		n++
	}
	return n
}

// isCalled tells whether a token may be somebody's name, and of nobody else on the trip.
func (m *message) isCalled(t token) bool {
	r := []rune(t.text)
	if t.kind != kWord || t.role != unknownWord || len(r) < 2 || !unicode.IsUpper(r[0]) ||
		strings.ContainsFunc(string(r[1:]), func(r rune) bool { return !unicode.IsLower(r) && r != '-' }) {
		return false
	}
	w := lowerCase(t.text)
	return !m.words.knows(w) && !m.words.pieces[w] && !slices.ContainsFunc(m.ctx.Others, func(name string) bool {
		return slices.Contains(strings.Fields(lowerCase(fold(name))), w)
	})
}

func (m *message) opensClause(i int) bool {
	return i == 0 || m.toks[i-1].kind.separates() || m.toks[i-1].plays(saidHello, vocative, and) &&
		(i == 1 || m.toks[i-2].kind.separates())
}

// ends tells whether nothing but a stop or a smile comes from token i on.
func (m *message) ends(i int) bool {
	says := func(t token) bool { return t.kind != kStop && t.kind != kEmoji }
	return !slices.ContainsFunc(m.toks[min(i, len(m.toks)):], says)
}

// introduced makes nothing of a name behind "my name is", where the clause ends with it.
func (m *message) introduced(i int) {
	n := m.calledAt(i + 1)
	next := i + 1 + n
	if n == 0 || next < len(m.toks) && !m.toks[next].kind.separates() && !m.toks[next].plays(and) {
		return
	}
	m.silence(i, next, aside)
}

// signature makes nothing of a name behind a farewell, where the message ends with it.
// "Thanks Petra" is said to Petra, who may have measured.
func (m *message) signature(i int) {
	next := i + 1
	switch {
	case next < len(m.toks) && (m.toks[next].kind == kComma || m.toks[next].kind == kBreak):
		next++
	case !m.words.farewells[lowerCase(m.toks[i].text)]:
		return
	}
	if n := m.calledAt(next); n > 0 && m.ends(next+n) {
		m.silence(next, next+n, neutral)
	}
}

// stoodBy makes nothing of a name on either side of what its owner did meanwhile.
func (m *message) stoodBy(i int) {
	before := i - 1
	for before > 0 && m.isCalled(m.toks[before-1]) {
		before--
	}
	if before >= 0 && m.isCalled(m.toks[before]) {
		m.silence(before, i, aside)
	}
	next := i + 1 + m.calledAt(i+1)
	if next == len(m.toks) || m.toks[next].kind.separates() || m.toks[next].plays(and) {
		m.silence(i+1, next, aside)
	}
}

func (m *message) silence(from, to int, r role) {
	for j := from; j < to; j++ {
		m.toks[j].role = r
	}
}
