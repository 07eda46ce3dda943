package reply

import (
	"slices"
	"strings"
)

// What stands beside a reading of one's own analysis: its pressure, that the sender
// analysed it, and that the analyser was calibrated before.

// The pressures that a cylinder may have, in bar and in psi.
const leastPressure, mostPressure = 20, 5000

// ofPressure tells whether token i is the word for pressure beside one: "31.4, pressure
// 210 bar".
func (m *message) ofPressure(i int) bool {
	bar := func(j int) bool { return j >= 0 && m.toks[j].is == isBar && m.besideReading(j) }
	return m.words.pressing[lowerCase(m.toks[i].text)] && (bar(m.right(i, measured, on)) || bar(m.left(i)))
}

// besideReading tells whether number i is a pressure with its unit and stands behind
// the readings of the message: they all have decimals, which no pressure has. Before
// them it may be what the message is about.
func (m *message) besideReading(i int) bool {
	t := m.toks[i]
	whole := func(f found) bool { return m.toks[f.tok].decimals == 0 }
	if t.kind != kNumber || t.decimals > 0 || len(m.found) == 0 || m.found[0].tok > i ||
		slices.ContainsFunc(m.found, whole) {
		return false
	}
	bars := 0
	for _, o := range m.toks {
		if o.is == isBar {
			bars++
		}
	}
	return t.value >= leastPressure && t.value <= mostPressure && bars <= len(m.found)
}

// analysed tells whether token i stands in a clause without a number in which its
// sender says no more than to have measured, and where: "hab sie am Steg gemessen".
func (m *message) analysed(i int) bool {
	mine, did := false, false
	for j, t := range m.toks {
		if t.clause != m.toks[i].clause {
			continue
		}
		own := m.own(t) || t.kind == kWord && m.words.passing[lowerCase(t.text)]
		mine = mine || m.own(t)
		did = did || t.role == measured || m.measuring(t) || t.role == neutral && m.ofInstrument(t)
		room := t.kind == kWord && t.plays(analysedRoom...) || m.measuring(t) || t.is == isLabel || t.kind.separates()
		room = room || m.firstWord(t)
		if !own && !room && t.kind != kEmoji && !m.partsClauses(j) {
			return false
		}
	}
	return mine && did
}

// firstWord tells whether a word says what somebody did first. Of a label it is no try.
func (m *message) firstWord(t token) bool {
	first := t.role == ordinal && t.n == 1 || m.words.firsts[lowerCase(t.text)]
	return t.kind == kWord && first && m.labelIn(t.clause)
}

func (m *message) labelIn(clause int) bool {
	return slices.ContainsFunc(m.toks, func(t token) bool { return t.clause == clause && t.is == isLabel })
}

// own tells whether a word, or the beginning of a phrase that says nothing else, says
// that the sender did it: "je l'ai", but not "I think".
func (m *message) own(t token) bool {
	if t.kind != kWord {
		return false
	}
	w := lowerCase(t.text)
	if m.words.mine[w] {
		return true
	}
	begins := false
	for at := strings.LastIndexByte(w, ' '); at > 0; at = strings.LastIndexByte(w[:at], ' ') {
		begins = begins || m.words.mine[w[:at]]
	}
	return begins && t.plays(neutral, measured)
}

// ofInstrument tells whether a phrase has a word for an instrument or its verb in it:
// "put it through the analyser", "just measured".
func (m *message) ofInstrument(t token) bool {
	return m.anyWord(t, func(w string) bool { r := m.words.words[w]; return r == analyser || r == measured })
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

// first tells whether token i says what was done first of two things: the analyser was
// calibrated, before it was used.
func (m *message) first(i int) bool {
	done := func(j int) bool {
		return j >= 0 && j < len(m.toks) && (m.toks[j].role == fresh && m.toks[j].done || m.toks[j].is == isAir)
	}
	return m.toks[i].n == 1 && m.clauseHas(i, m.calibrates) && (done(i-1) || done(i+1))
}

// justNow is how many minutes ago an analysis may have been that is told as of now.
const justNow = 10

// ago tells whether token i, minutes, says how long ago the analysis was, and that is
// as good as now: "measured 5 minutes ago, 31.4".
func (m *message) ago(i int) bool {
	word := func(j int) bool { return j >= 0 && j < len(m.toks) && m.words.ago[lowerCase(m.toks[j].text)] }
	return m.toks[i].value <= justNow && m.toks[i].decimals == 0 && (word(i-1) || word(i+1))
}

func (m *message) agoWord(i int) bool {
	minutes := func(j int) bool {
		return j >= 0 && j < len(m.toks) && m.toks[j].is == isOther && m.toks[j].unit == unitMinutes && m.ago(j)
	}
	return m.words.ago[lowerCase(m.toks[i].text)] && (minutes(i-1) || minutes(i+1))
}

// measuredTwice tells whether token i says how often one number was measured, and not
// that two cylinders have it: "twee keer gemeten, 32,4", but "twee keer 32,4".
func (m *message) measuredTwice(i int) bool {
	number := m.right(i)
	both := m.readingAt(number) && !m.clauseHas(i, func(t token) bool { return t.role == measured })
	return m.words.times[lowerCase(m.toks[i].text)] && !both
}

// opensTo tells whether token i is a word like "so" at the start, which leads to a
// label or to both: "so die 17 hat 31,4". Before a number it may say "about".
func (m *message) opensTo(i int) bool {
	if i > 0 {
		return false
	}
	next := m.right(i, labelled)
	place := next > 1 && (m.toks[next].is == isLabel || m.toks[next].role == both)
	here := m.words.starts[lowerCase(m.toks[i].text)] && m.readingAt(next) && m.toks[next].decimals > 0
	return here || place && m.words.openers[lowerCase(m.toks[i].text)]
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
		case !t.kind.separates() && !t.plays(neutral, and, air, ordinal):
			return false
		}
	}
	return false
}

// readsAfter tells whether a reading comes after token i.
func (m *message) readsAfter(i int) bool {
	return slices.ContainsFunc(m.toks[i:], func(t token) bool { return t.is == isReading })
}
