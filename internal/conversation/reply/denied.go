package reply

import (
	"slices"

	"gasmuster/internal/gas"
)

// denials find the numbers that are taken back beside the right one: "not 32.4
// but 31.4", "31.4 instead of 32.4", "32.4じゃなくて31.4". Each takes one word
// of denial; any other such word is not accounted for.
func (m *message) denials() {
	for i, t := range m.toks {
		switch t.role {
		case correction, meant, excuse, saidNo:
			m.takesBack(i)
		case deny, maybeNo, wrote:
			n := m.right(i, measured, labelled, on)
			if t.role == wrote && !m.deniable(n) {
				n = m.left(i) // "hab 35,2 geschrieben"
			}
			switch {
			case t.role != wrote && m.isNotOrdered(i, n):
				m.claimOrder(n)
				m.toks[i].done = true
			case m.deniable(n):
				m.denied = append(m.denied, n)
				m.claim(n, isDenied)
				m.toks[i].done = true
			}
		case rather:
			if n := m.left(i, measured, labelled); m.deniable(n) {
				m.denied = append(m.denied, n)
				m.claim(n, isDenied)
				m.toks[i].done = true
			}
		}
	}
}

// isNotOrdered tells whether token i denies that a number told before is what was ordered,
// n: "28.9, that's not 32". That corrects nothing.
func (m *message) isNotOrdered(i, n int) bool {
	is := i > 0 && m.words.its[lowerCase(m.toks[i-1].text)]
	return is && m.number(n) && m.wasAsked(n) && m.readsBefore(i)
}

// takesBack finds the two numbers of "41.3 sorry 31.4": with decimals, the only ones of
// the message, and nothing between them but words of correction.
func (m *message) takesBack(i int) {
	before, after := m.pastCorrection(i, -1), m.pastCorrection(i, 1)
	if before < 0 || after < 0 || !m.toks[after].plausible() || m.toks[before].value == m.toks[after].value {
		return
	}
	for j, t := range m.toks {
		other := t.kind == kNumber || t.kind == kBad || t.kind == kTwoWays || t.kind == kLabel
		if other && j != before && j != after && !(j < before && m.isKnown(t)) {
			return
		}
	}
	for j := before + 1; j < after; j++ {
		m.toks[j].done = true
	}
	m.denied = append(m.denied, before)
	m.claim(before, isDenied)
}

// pastCorrection is the number with decimals that words of correction part from token i.
func (m *message) pastCorrection(i, step int) int {
	for j := i + step; j >= 0 && j < len(m.toks); j += step {
		switch t := m.toks[j]; {
		case t.kind == kComma, t.kind == kStop, t.kind == kBreak, t.kind == kDash && !t.glued, t.kind == kEmoji,
			t.kind == kWord && t.plays(neutral, correction, meant, excuse, maybeNo, saidNo):
		case m.number(j) && t.decimals > 0:
			return j
		default:
			return -1
		}
	}
	return -1
}

// deniable tells whether a number is one that a reading or a label can have.
func (m *message) deniable(n int) bool {
	return m.number(n) && (m.toks[n].plausible() || m.toks[n].whole())
}

// opens tells what words of correction stand before every number: "no, 31.4",
// "sorry, I meant 31.4", "wrong, 31.4". After a number they deny it.
func (m *message) opens() {
	first := slices.IndexFunc(m.toks, func(t token) bool {
		place := t.is == isLabel || t.is == isDive || t.is == isMeter
		return (t.kind == kNumber || t.kind == kBad || t.kind == kTwoWays) && !place && t.is != isDenied
	})
	for i := range m.toks {
		t := &m.toks[i]
		before := first < 0 || i < first
		switch {
		case t.role == again:
			m.result.Again = true
		case t.role == saidUndo && first > i && m.alone(i), t.plays(correction, excuse) && before,
			t.role == changing && m.unorderable(i):
			t.done, m.result.Correction = true, true
		case t.role == correction && m.result.Correction && m.alone(i): // "should be 31.4, typo"
			t.done = true
		case t.role == shouldBe && m.owns(i):
			t.done, m.result.Correction = true, true
		case t.role == meant && (before || m.closes(i)):
			t.done, m.result.Correction = true, true
		case t.role == wrong && first > i && (m.alone(i) || m.saysOfEarlier(i)):
			t.done, m.result.Correction = true, true
		case t.role == maybeYes && before && m.alone(i):
			t.role = saidYes
		case t.role == maybeNo && !t.done && before && m.alone(i):
			t.done, m.no = true, true
		case t.role == firmNo && m.ctx.Shown, t.role == answerNo && first < 0:
			t.done, m.no = true, true
		case t.role == saidNo && (before || len(m.found) == 0):
			t.done, m.no = true, true
		}
	}
}

// changes tells whether token i leads from a word of changing or noting to the
// number: "change 40 to 32.5".
func (m *message) changes(i int) bool {
	return m.clauseHas(i, func(t token) bool { return t.plays(changing, noting) })
}

// unorderable tells whether the clause of token i has a reading, and none that
// a blend could be ordered as: "put 32" may be a wish, "put 31.8" is none.
func (m *message) unorderable(i int) bool {
	reading := func(t token) bool { return t.is == isReading }
	whole := func(t token) bool { return reading(t) && t.decimals == 0 }
	return m.clauseHas(i, reading) && !m.clauseHas(i, whole)
}

// decimalsOnly tells whether the message has readings, and none that a blend could be
// ordered as: "note it please, 31.8".
func (m *message) decimalsOnly() bool {
	whole := func(f found) bool { return m.toks[f.tok].decimals == 0 }
	return len(m.found) > 0 && !slices.ContainsFunc(m.found, whole)
}

// closes tells whether token i is the last of its clause, right behind a
// reading: "31.4 I meant".
func (m *message) closes(i int) bool {
	j := m.left(i)
	return j >= 0 && m.toks[j].is == isReading && m.right(i) < 0
}

// alone tells whether nothing but neutral words stands between token i and the
// ends of its clause. A word that may mean no or not means no only there.
func (m *message) alone(i int) bool {
	for j := i + 1; j < len(m.toks); j++ {
		t := m.toks[j]
		if t.kind.separates() {
			break
		}
		if t.kind != kEmoji {
			return false
		}
	}
	for j := i - 1; j >= 0 && !m.toks[j].kind.separates(); j-- {
		if t := m.toks[j]; !t.plays(neutral, correction, excuse, maybeNo, saidNo) && t.kind != kEmoji {
			return false
		}
	}
	return true
}

// saysOfEarlier tells whether the clause of token i says it of a label or of
// what was sent last, and nothing else: "9 is wrong, 31.4", "it isn't right what
// I sent, 31.4". It accounts for that.
func (m *message) saysOfEarlier(i int) bool {
	start, end := m.clauseEnds(i)
	named := false
	for j := start; j <= end; j++ {
		t := m.toks[j]
		named = named || t.is == isLabel || t.plays(last, wrote)
		if j != i && t.is != isLabel && !t.plays(ofEarlier...) {
			return false
		}
	}
	for j := start; named && j <= end; j++ {
		m.toks[j].done = true
	}
	return named
}

// ofEarlier are the roles of the words in such a clause.
var ofEarlier = []role{neutral, correction, excuse, labelled, measured, on, last, past, wrote, question, deny}

// corrected makes a correction of the one number that was taken back and the
// one that stands, and a move of two labels.
func (m *message) corrected() {
	switch {
	case len(m.denied) == 0:
	case len(m.denied) == 1 && len(m.found) == 1 && gas.Percent(m.toks[m.denied[0]].value) == m.found[0].Percent:
		m.refuse(m.denied[0], Words) // "32.3, not 32.3"
	case len(m.denied) == 1 && len(m.found) == 1 && len(m.doubts) == 0 && !m.isLabelLike(m.denied[0]):
		m.result.Correction, m.result.Was = true, gas.Percent(m.toks[m.denied[0]].value)
	case len(m.denied) == 1 && m.moves():
	default:
		m.refuse(m.denied[0], Words)
	}
	if m.result.Correction && len(m.found)+len(m.doubts)+len(m.denied) == 0 && m.result.Label != "" { // "sorry, 17"
		m.result.MoveTo = m.result.Label
	}
	if m.no && len(m.found) > 0 {
		m.result.Correction, m.no = true, false
	}
}

// isLabelLike tells whether a denied number is a label: known, or a whole
// number that is no percentage.
func (m *message) isLabelLike(i int) bool {
	_, known := m.known(m.toks[i])
	return known || m.toks[i].whole() && !m.toks[i].plausible()
}

// moves understands "sorry, 17 not 22": the reading was of the other cylinder.
func (m *message) moves() bool {
	wrongOne := m.toks[m.denied[0]]
	if !wrongOne.whole() {
		return false
	}
	from, known := m.known(wrongOne)
	if !known {
		from = wrongOne.text
	}
	to := m.result.Label
	switch {
	case len(m.found) == 0 && len(m.doubts) == 1 && m.doubts[0].onlyLabel() && to == "":
		to = m.doubts[0].Text
	case len(m.found) == 1 && len(m.doubts) == 0 && known && m.barely(m.found[0]) && !wrongOne.plausible():
		to = m.toks[m.found[0].tok].text
	case len(m.found) > 0 || len(m.doubts) > 0:
		return false
	}
	if to == "" || to == from {
		return false
	}
	m.found, m.doubts = nil, nil
	m.result.MoveFrom, m.result.MoveTo, m.result.Correction = from, to, true
	return true
}

// onlyLabel tells whether a doubtful number can be no percentage.
func (d Doubt) onlyLabel() bool { return d.Why == LabelOrReading && !d.Suggest.Known() }

// barely tells whether a reading is a whole number with nothing beside it.
func (m *message) barely(f found) bool {
	return !f.placed && m.toks[f.tok].whole()
}

// owns tells whether the message owns to a slip beside the words "should be" of
// token i: "7 should be 32.5, typo". Alone they say what was hoped for.
func (m *message) owns(i int) bool {
	slip := func(t token) bool { return t.plays(correction, excuse, wrong) }
	reading := func(n int) bool { return n >= 0 && m.toks[n].is == isReading }
	return slices.ContainsFunc(m.toks, slip) && (reading(m.right(i, on, labelled)) || reading(m.left(i)))
}

// wasRight tells whether a word for the past says it of the right number, behind
// words for a slip: "typo, it was 31.4". Alone it says what is no more.
func (m *message) wasRight(i int) bool {
	j := m.right(i)
	if !m.words.was[lowerCase(m.toks[i].text)] || j < 0 || m.toks[j].is != isReading {
		return false
	}
	return slices.ContainsFunc(m.toks[:i], func(t token) bool { return t.plays(correction, excuse) })
}

// wasDenied tells whether a word for the past says it of a number that is taken
// back: "it was not 35 but 33.5".
func (m *message) wasDenied(i int) bool {
	j := m.right(i)
	if j >= 0 && m.toks[j].done && m.toks[j].plays(deny, maybeNo) {
		j = m.right(j)
	}
	return j >= 0 && m.toks[j].is == isDenied
}
