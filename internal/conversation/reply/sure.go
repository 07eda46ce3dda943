package reply

import "slices"

// When one of the person's labels can be nothing else, though its number may be
// a percentage as well.

// surelyLabel tells whether one of the person's labels can be nothing else: it
// is no percentage, or stands where only a label can.
func (m *message) surelyLabel(i, next int) bool {
	t := m.toks[i]
	switch {
	case m.besideKeeping(), m.soFar(i), m.spokenOf(i), m.joinsLabel(i), m.endsList(i), m.beforeComma(i), m.shares(i):
		return true
	case next >= 0 && (m.toks[next].decimals > 0 || m.toks[next].kind != kNumber):
		return true
	case next >= 0 && m.isKnown(m.toks[next]) && !m.measuredBetween(i, next): // "17 22": two labels?
		return m.numbers() > m.ctx.Cylinders && m.ctx.Cylinders > 0 || !t.plausible()
	case next >= 0 && m.toks[next].whole() && m.says(i, next):
		return true
	case next >= 0 && m.toks[next].whole():
		return !t.plausible() || m.ctx.Cylinders > 0 && m.numbers() > m.ctx.Cylinders || m.articled(i, next)
	}
	return !t.plausible() || m.leadsTo(i) && m.unplacedBefore(i)
}

// articled tells whether an article says that a number is a label, and none says so
// of the one behind it, "la 22 33", or a particle that hangs on it, "22は33".
func (m *message) articled(i, next int) bool {
	the := func(i int) bool { return i >= 0 && m.words.the[lowerCase(m.toks[i].text)] }
	return the(i-1) && !the(next-1) || the(i+1) && m.toks[i+1].glued
}

// spokenOf tells whether what stands beside a label is said of a cylinder.
func (m *message) spokenOf(i int) bool {
	return m.besideLater(i) || m.putOff(i) || m.saidWrong(i) || m.echoes(i)
}

// saidWrong is the 28 of "28 is wrong, 29.6".
func (m *message) saidWrong(i int) bool {
	next := m.right(i, measured, labelled)
	return next >= 0 && m.toks[next].role == wrong && m.givesElsewhere(i)
}

// joinsLabel is the 22 of "22 and 14 are both 32.4".
func (m *message) joinsLabel(i int) bool {
	j := i + 1
	for ; j < len(m.toks) && m.toks[j].kind == kWord && m.toks[j].plays(neutral, labelled, on, and, too); j++ {
	}
	return j > i+1 && j < len(m.toks) && m.anyAnd(i, j) && m.toks[j].whole() && m.isKnown(m.toks[j])
}

// beforeComma is "22, 36.1": of two numbers the label, and a reading.
func (m *message) beforeComma(i int) bool {
	next, marked := i+1, m.marked(i)
	for next < len(m.toks) && m.toks[next].kind == kWord && (m.toks[next].plays(neutral, labelled, ordinal) ||
		m.words.firsts[lowerCase(m.toks[next].text)] ||
		marked && m.toks[next].role == measured) {
		next++
	}
	pause := next+1 < len(m.toks) && (m.toks[next].kind == kComma || m.words.han && m.toks[next].text == ";") // 、
	if !pause {
		return false
	}
	if m.setOff(i, next+1) {
		return true
	}
	reading := m.toks[next+1]
	return reading.kind == kNumber && reading.decimals > 0 && (m.numbers() == 2 || m.onlyReading(next+1))
}

// setOff is the 27 of "the second, 27, is 35.9": commas on both sides, and a verb
// behind it that gives what stands between them its number.
func (m *message) setOff(i, verb int) bool {
	before := i - 1
	for before >= 0 && m.toks[before].kind == kWord && m.toks[before].plays(neutral, labelled) { // ", la 27,"
		before--
	}
	if before < 0 || m.toks[before].kind != kComma || m.toks[verb].kind != kWord {
		return false
	}
	for ; verb < len(m.toks) && m.toks[verb].kind == kWord && m.toks[verb].plays(neutral, measured, on); verb++ {
	}
	return verb < len(m.toks) && m.toks[verb].kind == kNumber && m.toks[verb].decimals > 0
}

// onlyReading tells whether token n is the only number that is none of the
// person's labels.
func (m *message) onlyReading(n int) bool {
	for j, t := range m.toks {
		number := t.kind == kNumber && t.is != isMeter || t.kind == kBad || t.kind == kTwoWays
		if number && j != n && !m.isKnown(t) {
			return false
		}
	}
	return true
}

// endsList is the 22 of "14も22も32.4", where a word joins each label.
func (m *message) endsList(i int) bool {
	before, after := i-1, i+1
	if after < len(m.toks) && m.toks[after].role == labelled { // 22番も
		after++
	}
	if before < 1 || after+1 >= len(m.toks) || m.toks[before].role != and || m.toks[after].role != and {
		return false
	}
	if before--; m.toks[before].role == labelled && before > 0 {
		before--
	}
	return m.toks[before].is == isLabel && m.toks[after+1].kind == kNumber && m.toks[after+1].decimals > 0
}

// shares is the 22 of "14 and 22 the same, 32.4": what follows says that it
// has its number together with the label before it.
func (m *message) shares(i int) bool {
	after, before := m.right(i, labelled, measured), m.left(i, labelled)
	if after < 0 || before < 1 || !m.toks[after].plays(both, alike) || m.toks[before].role != and {
		return false
	}
	first := m.left(before, labelled)
	return first >= 0 && m.toks[first].is == isLabel
}

func (m *message) anyAnd(i, j int) bool {
	for ; i < j; i++ {
		if m.toks[i].role == and {
			return true
		}
	}
	return false
}

// besideLater tells whether a word for later stands beside a label.
func (m *message) besideLater(i int) bool {
	for _, j := range []int{m.right(i, measured, on, labelled, act, past), m.left(i, on, labelled, act, measured)} {
		if j >= 0 && m.toks[j].plays(saidNotYet, will) {
			return true
		}
	}
	return false
}

// putOff tells whether token i stands in a clause that says of a label that it
// is done later, and has no other number: "I can't get at 14 just now". Where
// it is, is enough when the message gives a number of another: "44 on the boat".
func (m *message) putOff(i int) bool {
	later := false
	for j, t := range m.toks {
		switch {
		case t.clause != m.toks[i].clause:
			continue
		case t.plays(saidNotYet, will), t.role == inPlace && m.givesElsewhere(i) && !m.didInClause(i):
			later = true
		case j == i:
		case t.kind == kTwoWays, t.kind == kBad, t.kind == kNumber && t.is != isMeter && !m.isKnown(t):
			return false
		}
	}
	return later
}

// givesElsewhere tells whether another clause than that of token i has a number
// that can be no label.
func (m *message) givesElsewhere(i int) bool {
	return slices.ContainsFunc(m.toks, func(t token) bool {
		return t.clause != m.toks[i].clause && t.kind == kNumber && t.decimals > 0
	})
}

// leadsTo tells whether a word leads to token i: "32.4 on 36", "la 22".
func (m *message) leadsTo(i int) bool {
	return i > 0 && m.toks[i-1].kind == kWord && m.toks[i-1].plays(on, neutral, labelled)
}

// unplacedBefore tells whether the clause has just one number before token i
// that may be its reading.
func (m *message) unplacedBefore(i int) bool {
	n := 0
	for j := i - 1; j >= 0 && m.toks[j].clause == m.toks[i].clause; j-- {
		switch m.toks[j].is {
		case isReading:
			n++
		case isLabel, isDive:
			return n == 1
		}
	}
	return n == 1
}

// says is the 22 of "22 is 33": a verb of an instrument gives it a number that is
// none of the labels, and nothing before it does.
func (m *message) says(i, next int) bool {
	verb := func(j int) bool { return j >= 0 && m.toks[j].role == measured }
	is := i+1 < len(m.toks) && m.words.its[lowerCase(m.toks[i+1].text)]
	return (is || verb(m.right(i, labelled, on))) && !m.isKnown(m.toks[next]) && m.toks[next].plausible() &&
		!verb(m.left(i, labelled, on))
}

func (m *message) measuredBetween(i, j int) bool {
	for i++; i < j; i++ {
		if k := m.toks[i]; k.kind == kArrow || k.kind == kDash || k.role == measured {
			return true
		}
	}
	return false
}
