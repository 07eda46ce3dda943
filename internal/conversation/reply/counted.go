package reply

// Numbers and ordinals that count cylinders: "two tanks", "the first, 14".

// counts tells whether token i says how many cylinders the message speaks of,
// and that is so: "two tanks: 12 is 31.8, 23 is 33".
func (m *message) counts(i int) bool {
	n := len(m.result.Later)
	for _, f := range m.found {
		if !f.placed || f.Both {
			return false
		}
		n++
	}
	return n > 1 && float64(n) == m.toks[i].value
}

// soFar tells whether the clause of token i says of a label that it is the only
// one that is done, and the message has one number beside it: "only 23 so far,
// 31.8". Without a label it would be a reading that is not the last.
func (m *message) soFar(i int) bool {
	said := m.clauseHas(i, func(t token) bool { return t.role == soFar })
	return said && m.labelsAlone(i) && m.numbers() == 2
}

// labelsAlone tells whether the clause of token i has one number, one of the
// person's labels.
func (m *message) labelsAlone(i int) bool {
	labels := 0
	for _, t := range m.toks {
		switch {
		case t.clause != m.toks[i].clause:
		case m.isKnown(t):
			labels++
		case t.kind == kTwoWays, t.kind == kBad, t.kind == kNumber && t.decimals == 0:
			return false
		}
	}
	return labels == 1
}

// enumerates tells whether the ordinals of the message count cylinders that are
// named as well: "first tank 12: 31.8, second tank 23: 33". One alone may be a try, but
// not "first tank, 12,".
func (m *message) enumerates() bool {
	seen, rests := map[int]bool{}, false
	for i, t := range m.toks {
		if t.role != ordinal || t.is != isOpen {
			continue
		}
		label := m.named(i)
		if seen[t.n] || label < 0 || m.toks[label].is != isLabel {
			return false
		}
		seen[t.n] = true
		cylinder := m.toks[i+1].role == labelled && m.setApart(i) == label
		rests = rests || cylinder || t.n == 2 || m.words.words[lowerCase(t.text)] == rest // "my other one, 22, is 33.1"
	}
	return len(seen) > 1 || rests
}

// named is the label that an ordinal counts: right behind it or set off.
func (m *message) named(i int) int {
	if label := m.right(i, labelled, on); label >= 0 { // "primeira garrafa a 17"
		return label
	}
	return m.setApart(i)
}

// setApart is what a comma sets off behind token i, as 14 in "the first, 14, is
// 31.7"; -1 when none does.
func (m *message) setApart(i int) int {
	pass := func(i int) int {
		for i++; i < len(m.toks) && m.toks[i].kind == kWord && m.toks[i].plays(labelled, neutral, on); i++ {
		}
		return i
	}
	if i = pass(i); i+2 >= len(m.toks) || m.toks[i].kind != kComma {
		return -1
	}
	if i = pass(i); i+1 < len(m.toks) && (m.toks[i+1].kind == kComma || m.toks[i+1].kind == kArrow) { // "la 14,"
		return i
	}
	return -1
}
