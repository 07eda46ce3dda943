package reply

import (
	"slices"
	"strings"
	"unicode"
)

// names finds the analysers that the message names, and the dives.
func (m *message) names() {
	diveSaid := false
	m.opening()
	for i := range m.toks {
		t := &m.toks[i]
		switch {
		case t.role == maybeNo && m.words.noNumber && lowerCase(t.text) == "no" && i+1 < len(m.toks) &&
			m.isKnown(m.toks[i+1]):
			if next, _, _ := m.reaches(i + 1); next >= 0 {
				t.role = labelled // "no 17 32.4": number
			}
		case m.meterNamed(i):
		case i > 0 && m.words.counters[lowerCase(t.text)] && m.isKnown(m.toks[i-1]):
			t.role = labelled // 17那瓶
		case t.role == rest && m.isLabelAt(m.setApart(i)):
			t.role, t.n = ordinal, 2 // "the other one, 27, is 35.9"
		case t.role == rest && (m.counted(i) || m.givenBehind(i)):
			t.role, t.n = ordinal, 2 // "my first 8 is 31.9 and my second 33 35.8"
		case t.role == rest && m.isLabelAt(m.right(i, measured, labelled)):
			t.role = will // "left is 12"
		case t.role == ordinal && m.isLabelAt(m.setApart(i)): // "tomorrow the second, 22, 33.5" is 22, and unclear
		case (t.role == rest || t.role == ordinal && t.n == 2) && (m.besideLater(i) || m.putOff(i) || m.besideAlike(i)):
			m.otherLabel(i)
		case t.role == diveNamed:
			t.n = m.words.dives[lowerCase(t.text)]
			m.claim(i, isDive)
			diveSaid = true
		case t.role == ordinal:
			// "the first 32.1" may be the first try: only a dive says which cylinder
			if m.takesDiveWord(i) || diveSaid {
				m.claim(i, isDive)
				diveSaid = true
			}
		case t.role == dive && !t.done:
			if n := m.right(i, labelled); m.number(n) && m.toks[n].whole() && m.toks[n].value >= 1 && m.toks[n].value <= 9 {
				m.toks[n].n = int(m.toks[n].value)
				m.claim(n, isDive)
				m.toks[i].done = true
				diveSaid = true
			}
		}
	}
}

// ownName makes nothing of the person's own name: "Marit here, 32.4". Any other
// name is not accounted for.
func (m *message) ownName() {
	own := strings.Fields(lowerCase(fold(m.ctx.Name)))
	for i := range m.toks {
		t := &m.toks[i]
		if t.kind == kWord && t.role == unknownWord && len([]rune(t.text)) > 1 && slices.Contains(own, lowerCase(t.text)) {
			t.role = neutral
		}
	}
}

// opening makes nothing of a word that only opens the message, with a sign
// behind it: "So, 32,4", where so would else be "about".
// "Wait, I typed that wrong, 31.3" corrects.
func (m *message) opening() {
	if len(m.toks) < 3 || !m.toks[1].kind.separates() && m.toks[1].text != ":" {
		return
	}
	word := lowerCase(m.toks[0].text)
	switch number := slices.ContainsFunc(m.toks, func(t token) bool { return t.kind == kNumber && t.decimals > 0 }); {
	case m.words.openers[word]:
		m.toks[0].role = neutral
	case m.words.holds[word] && number:
		m.toks[0].role = correction
	}
}

// counted tells whether "the second" of token i counts on from "the first", and
// names the label of a number.
func (m *message) counted(i int) bool {
	label := m.right(i, labelled)
	if !m.isLabelAt(label) {
		return false
	}
	next, _, _ := m.reaches(label)
	return next >= 0 && slices.ContainsFunc(m.toks[:i], func(t token) bool { return t.role == ordinal && t.n == 1 })
}

// givenBehind tells whether the label of "the other one" stands right behind it, and
// then its number: "the other 22 33.1".
func (m *message) givenBehind(i int) bool {
	label := m.right(i, labelled)
	if !m.isLabelAt(label) {
		return false
	}
	next, _, _ := m.reaches(label)
	return next >= 0 && m.toks[next].decimals > 0
}

// isLabelAt tells whether token i is one of the person's labels.
func (m *message) isLabelAt(i int) bool { return i >= 0 && m.isKnown(m.toks[i]) }

// besideAlike tells whether "the same" is said of token i: "the other is identical".
func (m *message) besideAlike(i int) bool {
	for _, j := range []int{m.right(i, measured, on, labelled), m.left(i, on, labelled, and, measured)} {
		if j >= 0 && m.toks[j].plays(alike, too) {
			return true
		}
	}
	return false
}

// otherLabel makes "the other" the one label that was not named. Of more than
// one, "the rest" are all done later.
func (m *message) otherLabel(i int) {
	named := m.labelsNamed()
	others := slices.DeleteFunc(slices.Clone(m.ctx.Labels), func(l string) bool { return slices.Contains(named, l) })
	switch t := &m.toks[i]; {
	case len(named) == 0 || len(others) == 0:
	case len(others) == 1:
		t.kind, t.role, t.name = kLabel, unknownWord, others[0]
	case t.role == rest:
		m.result.Later = append(m.result.Later, others...)
		t.done = true
	}
}

// takesDiveWord tells whether a word for a dive stands on either side of an
// ordinal, and accounts for it.
func (m *message) takesDiveWord(i int) bool {
	for _, j := range []int{m.right(i), m.left(i)} {
		if j >= 0 && m.toks[j].role == dive && !m.toks[j].done {
			m.toks[j].done = true
			return true
		}
	}
	return false
}

// meterNamed tells whether token i is the name of an analyser: one of the
// trip's, or a letter after a word for an analyser.
func (m *message) meterNamed(i int) bool {
	t := &m.toks[i]
	if t.kind != kWord && t.kind != kNumber || t.is != isOpen || t.percent || t.unit != noUnit {
		return false
	}
	if name, ok := m.meterOf(i); ok {
		t.role, t.meter = meterName, name
		m.claim(i, isMeter)
		return true
	}
	return false
}

func (m *message) meterOf(i int) (string, bool) {
	t := m.toks[i]
	before, after := role(""), token{}
	if j := m.left(i); j >= 0 {
		before = m.toks[j].role
	}
	if i+1 < len(m.toks) {
		after = m.toks[i+1]
	}
	led := before == on || before == using || before == analyser || after.role == analyser
	for _, a := range m.ctx.Analysers {
		if !strings.EqualFold(fold(a), t.text) {
			continue
		}
		if _, label := m.known(t); label && before != analyser || before == labelled {
			continue
		}
		if m.surelyMeter(a, i, led) {
			return a, true
		}
	}
	if m.ofAir(i) {
		return strings.ToUpper(t.text), true
	}
	free := before == analyser || (before == on || before == using) && t.role == unknownWord
	if led && free && t.kind == kWord && isCapital(t.text) || m.letterAtEnd(i, before) {
		return strings.ToUpper(t.text), true
	}
	return "", false
}

// letterAtEnd tells whether a letter ends its clause behind "on": "31.4 on a". No article
// does.
func (m *message) letterAtEnd(i int, before role) bool {
	t := m.toks[i]
	_, label := m.known(t)
	ends := i+1 == len(m.toks) || m.toks[i+1].kind.separates()
	return (before == on || before == using) && ends && !label && len(t.text) == 1 && isCapital(strings.ToUpper(t.text))
}

// ofAir tells whether a letter that nobody gave a name stands right before what an
// analyser shows in air: "B air 20.9". Nothing else has an air point.
func (m *message) ofAir(i int) bool {
	t := m.toks[i]
	letter := t.kind == kWord && len(t.text) == 1 && (isCapital(t.text) || t.role == unknownWord)
	next := m.right(i, on, measured)
	return letter && next >= 0 && m.toks[next].plays(air, fresh) && (i == 0 || m.toks[i-1].kind.separates())
}

// surelyMeter tells whether a word that is an analyser's name is meant as one:
// a single letter may also be an article ("a 17").
func (m *message) surelyMeter(name string, i int, led bool) bool {
	t, r := m.toks[i], []rune(name)
	after := token{}
	if i+1 < len(m.toks) {
		after = m.toks[i+1]
	}
	_, label := m.known(after)
	article := label || after.role == labelled ||
		t.role != unknownWord && after.kind == kWord && after.role == neutral // "A la 7"
	switch {
	case t.kind == kNumber:
		return led
	case len(r) > 1:
		return true
	case after.role == air, after.role == fresh, after.kind == kArrow:
		return true
	case after.role == measured && t.role == unknownWord && (i == 0 || m.toks[i-1].kind.separates()):
		return true // "b shows"
	case led && t.role == unknownWord, led && !article:
		return true
	}
	return unicode.IsUpper([]rune(t.text)[0]) && !article
}
