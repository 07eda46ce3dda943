package reply

import "slices"

// What stands beside a reading of one's own analysis: other numbers of the same
// cylinder, that it was analysed, and that the analyser was calibrated before.

// The pressures that a cylinder may have, whatever the unit.
const leastPressure, mostPressure = 20, 5000

// figure tells whether number i belongs to a word for something that people note
// beside a reading: "MOD 34".
func (m *message) figure(i int) bool {
	word := func(j int) bool {
		return j >= 0 && m.toks[j].role == other && m.words.figures[lowerCase(m.toks[j].text)]
	}
	return word(m.left(i, measured, on)) || word(m.right(i))
}

// figureWord tells whether token i is such a word, with its number.
func (m *message) figureWord(i int) bool {
	its := func(j int) bool {
		return j >= 0 && (m.toks[j].is == isBar || m.toks[j].is == isOther) && m.besideReading(j)
	}
	return m.words.figures[lowerCase(m.toks[i].text)] && (its(m.right(i, measured, on)) || its(m.left(i)))
}

// besideReading tells whether number i has its own unit or word, and may stand beside
// the readings of the message: they all have decimals, which no pressure has.
func (m *message) besideReading(i int) bool {
	t := m.toks[i]
	whole := func(f found) bool { return m.toks[f.tok].decimals == 0 }
	if t.kind != kNumber || t.decimals > 0 || len(m.found) == 0 || slices.ContainsFunc(m.found, whole) {
		return false
	}
	bars := 0
	for _, o := range m.toks {
		if o.is == isBar {
			bars++
		}
	}
	return t.is != isBar || t.value >= leastPressure && t.value <= mostPressure && bars <= len(m.found)
}

// analysed tells whether token i stands in a clause without a number in which its
// sender says no more than to have measured, and where: "hab sie am Steg gemessen".
func (m *message) analysed(i int) bool {
	mine, did := false, false
	for j, t := range m.toks {
		if t.clause != m.toks[i].clause {
			continue
		}
		own := t.kind == kWord && m.words.mine[lowerCase(t.text)]
		mine = mine || own
		did = did || t.role == measured || m.measuring(t)
		room := t.kind == kWord && t.plays(analysedRoom...) || m.measuring(t) || t.is == isLabel || t.kind.separates()
		if !own && !room && t.kind != kEmoji && !m.partsClauses(j) {
			return false
		}
	}
	return mine && did
}

// analysedRoom are the roles of the words in such a clause.
var analysedRoom = []role{neutral, vocative, on, inPlace, aside, using, analyser, meterName, saidHello, saidThanks,
	saidYes, too, measured, labelled, both}

// haveMeasured tells whether token i is a word for having of the clause's own verb of
// measuring, beside the reading: "hab sie mit 31,9 gemessen".
func (m *message) haveMeasured(i int) bool {
	verb := func(t token) bool { return t.role == measured }
	return m.words.mine[lowerCase(m.toks[i].text)] && m.clauseHas(i, verb) &&
		m.clauseHas(i, func(t token) bool { return t.is == isReading })
}

// leastEnriched is more than any analyser shows in air.
const leastEnriched = 22

// calibratedBefore tells whether token i says that the analyser was calibrated, with
// no number of its own, before something else that has one: "calibrated in air, then
// 31.2". Of air that can't be.
func (m *message) calibratedBefore(i int) bool {
	if !m.clauseHas(i, m.calibrates) {
		return false
	}
	parted := false
	for _, t := range m.toks[i+1:] {
		parted = parted || t.kind.separates() || t.role == and || m.words.thens[lowerCase(t.text)]
		if t.kind == kNumber && !m.isKnown(t) {
			return parted && t.decimals > 0 && t.unit == noUnit && t.value >= leastEnriched
		}
	}
	return false
}

// calibrates tells whether a word says that the analyser was calibrated.
func (m *message) calibrates(t token) bool {
	word := func(w string) bool { return m.words.calibrates[w] }
	return t.kind == kWord && (word(lowerCase(t.text)) || m.anyWord(t, word))
}

// thenMeasured tells whether token i is a "then" behind a calibration, which is
// followed by the analysis.
func (m *message) thenMeasured(i int) bool {
	if !m.words.thens[lowerCase(m.toks[i].text)] {
		return false
	}
	for j := i - 1; j >= 0; j-- {
		switch t := m.toks[j]; {
		case t.plays(fresh, air) || t.is == isAir:
			return t.done && m.clauseHas(j, m.calibrates) && m.readsAfter(i)
		case !t.kind.separates() && !t.plays(neutral, and, air):
			return false
		}
	}
	return false
}

// readsAfter tells whether a reading comes after token i.
func (m *message) readsAfter(i int) bool {
	return slices.ContainsFunc(m.toks[i:], func(t token) bool { return t.is == isReading })
}
