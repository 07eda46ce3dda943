package reply

// A number that an analyser went through on its way to the one at which it stopped:
// "first it went 31.9 then settled on 31.3". It is no reading and corrects none. Without
// the words that it stopped both are asked about.

// settled takes the number before "then settled on" back.
func (m *message) settled() {
	for i, t := range m.toks {
		if t.kind != kWord || !m.words.settles[lowerCase(t.text)] {
			continue
		}
		n, before := m.right(i, on, measured), m.passed(i)
		if before < 0 || !m.tenths(n) || !m.tenths(before) {
			continue
		}
		m.claim(before, isDenied)
		m.toks[i].done = true
		for j := range m.toks[:i] {
			if m.words.passes[lowerCase(m.toks[j].text)] || j > before {
				m.toks[j].done = true
			}
		}
	}
}

// passed is the number before token i, with no more between them than that something
// follows; -1 when there is none.
func (m *message) passed(i int) int {
	for i--; i >= 0; i-- {
		t := m.toks[i]
		if t.kind == kNumber {
			return i
		}
		if t.kind != kComma && t.kind != kStop && !t.plays(neutral, and, but, past, percent) {
			return -1
		}
	}
	return -1
}

// tenths tells whether a number is one that an analyser may show, with its decimals.
func (m *message) tenths(n int) bool {
	return m.number(n) && m.toks[n].decimals > 0 && m.toks[n].plausible()
}
