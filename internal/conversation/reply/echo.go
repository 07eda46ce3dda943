package reply

// A label without a number of its own may have the number just told: "32.6 on
// 17, same on 9", "17 32.6 and 9 too", "32.6 on 17 and 9".

// echoes tells whether token i stands where such a label does. Whether it is
// one of the person's is not asked here.
func (m *message) echoes(i int) bool {
	if next, _, _ := m.reaches(i); next >= 0 || !m.toldBefore(i) {
		return false
	}
	return m.sameAfter(i) || m.sameBefore(i)
}

func (m *message) toldBefore(i int) bool {
	for _, t := range m.toks[:i] {
		if t.is == isReading {
			return true
		}
	}
	return false
}

// sameAfter finds the word for the same behind a label: "9 the same", "9 and
// 22 too", 6番も.
func (m *message) sameAfter(i int) bool {
	for j := i + 1; j < len(m.toks); j++ {
		t := m.toks[j]
		switch {
		case t.plays(alike, too):
			return true
		case t.role == and && m.right(j) < 0:
			return true
		case t.is == isLabel, m.isKnown(t), t.kind == kWord && t.plays(neutral, labelled, measured, on, and):
		default:
			return false
		}
	}
	return false
}

// sameBefore finds it before a label: "same on 9 and 22"; or that the number
// itself was led to a label that an "and" joins to this one.
func (m *message) sameBefore(i int) bool {
	joined, led := false, false
	for j := i - 1; j >= 0; j-- {
		t := m.toks[j]
		switch {
		case t.plays(alike, too):
			return true
		case t.is == isReading:
			return joined && led && m.right(i, labelled) < 0
		case t.is == isLabel:
			led = joined && j > 0 && (m.toks[j-1].role == on || m.toks[j-1].role == labelled)
		case t.kind == kWord && t.plays(neutral, labelled, measured, on, but):
		case t.role == and:
			joined = true
		default:
			return false
		}
	}
	return false
}

// echo gives a label the one number that was told before, and accounts for the
// words that said so. With several numbers nobody knows which is meant.
func (s *stating) echo(i int, p Reading) {
	first := s.found[0]
	for _, f := range s.found {
		if f.Percent != first.Percent {
			s.refuse(i, TooMany)
			return
		}
	}
	for j := range s.toks {
		if s.toks[j].role == alike && s.toks[j].sentenceOrClause(s.toks[i]) {
			s.toks[j].done = true
		}
	}
	if s.has(p) {
		return
	}
	f := s.found[len(s.found)-1]
	f.tok, f.Label, f.Dive, f.Asked, f.placed = first.tok, p.Label, p.Dive, 0, true
	s.found = append(s.found, f)
}

// has tells whether a place has its number.
func (s *stating) has(p Reading) bool {
	for _, f := range s.found {
		if f.Label == p.Label && f.Dive == p.Dive {
			return true
		}
	}
	return false
}

// sentenceOrClause tells whether two tokens may speak of one thing: what joins
// labels begins a new clause, too.
func (t token) sentenceOrClause(o token) bool {
	return t.clause == o.clause || t.clause == o.clause-1 || t.clause == o.clause+1
}
