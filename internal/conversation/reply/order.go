package reply

import (
	"slices"
	"strings"

	"gasmuster/internal/gas"
)

// What was ordered is never a reading. A blend's name takes the whole number
// beside it ("EAN32"), a word of ordering the number beside it, whichever way
// round the language has it ("asked for 32", "habe 32 bestellt").

func (m *message) orders() {
	for i, t := range m.toks {
		switch {
		case t.role == blend:
			m.blendName(i)
		case t.kind == kBlend:
			m.claimOrder(i)
			m.refuseOrder(i)
		}
	}
	for i, t := range m.toks {
		switch {
		case t.role == ordered && !t.done:
			m.order(i)
		case t.plays(expected, shouldBe):
			m.hoped(i)
			m.hopedBehind(i)
		}
	}
	for i, t := range m.toks {
		if t.role == blend && !t.done {
			m.refuseOrder(i)
		}
	}
}

func (m *message) blendName(i int) {
	next, before := m.right(i), m.left(i)
	switch {
	case strings.ContainsAny(m.toks[i].text, "0123456789"): // n32
		m.toks[i].done = true
		if m.number(next) && m.toks[next].decimals == 0 {
			m.claimOrder(next)
		}
	case m.number(next) && !(next > i+1 && m.toks[next].decimals > 0 && (before < 0 || m.toks[before].kind == kWord)):
		m.claimOrder(next)
		m.toks[i].done = true
	case m.number(next), next >= 0 && m.toks[next].role == measured, next >= 0 && m.toks[next].role == ordered:
		m.toks[i].done = true // "my nitrox reads 31.8", "mein Nitrox hat 31,6"
	case m.number(before) && m.toks[before].whole() && !m.isKnown(m.toks[before]):
		m.claimOrder(before)
		m.toks[i].done = true
	case before >= 0 && m.toks[before].role == ordered:
		m.toks[i].done = true
	}
	if !m.toks[i].done || next < 0 || m.toks[next].is != isOrder {
		return
	}
	if also := m.right(next); m.number(also) && m.toks[also].whole() {
		m.claimOrder(also) // "EAN32 36": both are names
	}
}

func (m *message) claimOrder(i int) {
	m.claim(i, isOrder)
}

// order finds what was ordered: a number, a blend or air.
func (m *message) order(i int) {
	m.toks[i].done = true
	next, before := m.right(i, on, blend), m.left(i, blend, on)
	if m.number(next) && m.isKnown(m.toks[next]) {
		next = -1
	}
	if m.number(before) && m.isKnown(m.toks[before]) {
		before = -1
	}
	switch {
	case m.takesOrder(next), m.takesOrder(before):
		m.ordered = true
	case m.number(next) && m.number(before):
		m.ordered = true
		m.orderOfTwo(i, before, next)
	case m.number(next):
		m.ordered = true
		m.claimOrder(next)
		m.listed(next)
	case m.number(before):
		m.ordered = true
		m.claimOrder(before)
	default:
		m.refuse(i, Blend)
	}
}

// hoped takes the whole number behind a word for what should be, where the verb of an
// instrument gives another in a clause behind it: "should be 32, reads 31.4".
func (m *message) hoped(i int) {
	n := m.right(i, on)
	orders := slices.ContainsFunc(m.toks, func(t token) bool { return t.role == ordered })
	if orders || !m.number(n) || !m.toks[n].whole() || m.isKnown(m.toks[n]) || !wholePlausible(m.toks[n].value) {
		return
	}
	verb := false
	for _, t := range m.toks[n+1:] {
		says := t.role == measured || m.words.its[lowerCase(t.text)]
		verb = verb || says && t.clause != m.toks[n].clause
		if t.kind == kNumber && verb && t.decimals > 0 && t.unit == noUnit {
			m.claimOrder(n)
			m.toks[i].done, m.ordered = true, true
			return
		} else if t.kind == kNumber {
			return
		}
	}
}

// itIs tells whether a reading stands in a clause behind what was ordered, and words
// that say what it is lead to it: "asked for 32 but it's 31.4".
func (m *message) itIs(f found) bool {
	j := f.tok - 1
	for j > 0 && m.toks[j].role == but { // "hat aber 31,4"
		j--
	}
	led := j >= 0 && m.words.its[lowerCase(m.toks[j].text)] && m.toks[f.tok].decimals > 0
	return led && slices.ContainsFunc(m.toks[:f.tok], func(t token) bool {
		return t.is == isOrder && t.whole() && t.clause != f.clause
	})
}

// hopedBehind takes the whole number that was ordered behind a word for what should be,
// where another was given before: "30.4, label says 32".
func (m *message) hopedBehind(i int) {
	n := m.right(i, on, blend)
	if m.toks[i].done || !m.number(n) || !m.wasAsked(n) || !m.readsBefore(i) {
		return
	}
	m.claimOrder(n)
	m.toks[i].done = true
}

// readsBefore tells whether all numbers before token i that are no labels have decimals,
// and the last of them stands in an earlier clause.
func (m *message) readsBefore(i int) bool {
	last := -1
	for j, t := range m.toks[:i] {
		switch {
		case t.kind == kNumber && t.decimals > 0 && t.unit == noUnit:
			last = j
		case t.kind == kNumber && !m.isKnown(t), t.kind == kTwoWays, t.kind == kBad, t.kind == kCompound:
			return false
		}
	}
	return last >= 0 && m.toks[last].clause < m.toks[i].clause
}

// wasAsked tells whether token n is what the sender ordered, and nothing that an analyser
// shows to the digit.
func (m *message) wasAsked(n int) bool {
	t := m.toks[n]
	return t.whole() && !m.isKnown(t) && slices.Contains(m.ctx.Asked, gas.Percent(t.value))
}

// apartFromOrder tells whether a reading has decimals, which no order has, and stands in
// another clause than what the sender ordered: "34.2! I ordered 32".
func (m *message) apartFromOrder(f found) bool {
	if m.toks[f.tok].decimals == 0 {
		return false
	}
	own := true
	for n, t := range m.toks {
		own = own && (t.is != isOrder || m.wasAsked(n) && t.clause != f.clause)
	}
	return own
}

// takesOrder is a word of ordering beside a blend that has its number already,
// or beside "air".
func (m *message) takesOrder(j int) bool {
	if j < 0 {
		return false
	}
	t := &m.toks[j]
	if t.role == air && !t.done {
		t.done = true
		return true
	}
	return t.is == isOrder
}

// orderOfTwo is "32 ordered 31.8 measured": the whole number is the blend.
func (m *message) orderOfTwo(i, before, next int) {
	switch b, n := m.toks[before].whole(), m.toks[next].whole(); {
	case b && !n:
		m.claimOrder(before)
	case n && !b:
		m.claimOrder(next)
	default:
		m.refuse(i, Blend)
	}
}

// listed takes the other numbers of a list of what was ordered: "32, 36".
func (m *message) listed(i int) {
	for j := i + 1; j+1 < len(m.toks); j += 2 {
		t := m.toks[j+1]
		if m.toks[j].kind != kComma && m.toks[j].role != and {
			return
		}
		if !m.number(j+1) || !t.whole() || !wholePlausible(t.value) {
			return
		}
		m.claimOrder(j + 1)
	}
}

// refuseOrder is a blend's name that says nothing of a reading.
func (m *message) refuseOrder(i int) {
	m.toks[i].done = true
	m.refuse(i, Blend)
}

// onlyOrdered tells whether the message says what was ordered and no reading.
func (m *message) onlyOrdered() bool {
	return len(m.found) == 0 && slices.ContainsFunc(m.toks, func(t token) bool { return t.is == isOrder })
}

// orderDoubts ask back on what was ordered, when nothing was measured.
func (m *message) orderDoubts() {
	var named, wordsOnly []Doubt
	for _, t := range m.toks {
		d := Doubt{Text: clip(t.text), Why: Blend, Word: clip(t.text), Role: string(t.role)}
		switch {
		case t.is == isOrder:
			named = append(named, d)
		case t.role == same, t.role == alike, t.role == expected, t.role == blend,
			t.role == air && !strings.ContainsAny(t.text, "0123456789"):
			wordsOnly = append(wordsOnly, d)
		}
	}
	if len(named) == 0 {
		named = wordsOnly
	}
	m.doubts = append(m.doubts, named...)
}
