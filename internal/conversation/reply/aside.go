package reply

import (
	"slices"
	"strings"
)

// Clauses beside a reading that say nothing of it: where its sender stands, how the
// analysis came about, that the cylinder never left them.

// aside tells whether token i stands in a clause of its own that says only
// where the sender is, how the analysis came about, or what has nothing to do
// with gas: "I'm on the dock, 32.4", "opened the valve and measured 32.4".
// Without a word for "I am" a place may be where somebody else measured.
func (m *message) aside(i int) bool {
	if i >= len(m.toks) {
		return false
	}
	stands, whole, being := false, true, m.isOfThings(m.toks[i].clause)
	for j, t := range m.toks {
		if t.clause != m.toks[i].clause {
			whole = whole && j == len(m.toks)-1 && t.kind.separates()
			continue
		}
		here := t.kind == kWord && (m.words.standing[lowerCase(t.text)] || m.words.passing[lowerCase(t.text)])
		stands = stands || here || t.role == aside
		room := t.plays(asides...) || t.role == subject && m.helpsAlong(j) ||
			t.role == measured && m.ownRead(t) && m.helped(j) || // 我老婆按着阀我看的数
			being && (m.isBeing(t) || t.role == labelled && t.kind == kWord) || m.waited(j)
		if t.kind != kEmoji && !here && !room && !t.kind.separates() && !m.partsClauses(j) {
			return false
		}
	}
	return stands && !whole && !m.quoted(i) && !m.notesAhead(i) && !m.helperRead(i)
}

// isOfThings tells whether a clause may say what something is like that is no instrument
// and no cylinder with a label: "the cap is back on". What an instrument is like is no
// aside.
func (m *message) isOfThings(clause int) bool {
	being := false
	for _, t := range m.toks {
		if t.clause == clause {
			being = being || m.isBeing(t)
			if t.plays(analyser, meterName, inPlace) || t.is == isLabel {
				return false
			}
		}
	}
	return being
}

func (m *message) isBeing(t token) bool { return t.kind == kWord && m.words.being[lowerCase(t.text)] }

// waited tells whether token i is how long the sender waited for a number to settle, in
// minutes or seconds: "waited 2 min, 31.4".
func (m *message) waited(i int) bool {
	t := m.toks[i]
	short := t.unit == unitMinutes && t.value <= justNow || t.unit == unitOther && m.words.seconds[t.name]
	waits := func(j int) bool { return j >= 0 && m.words.waits[lowerCase(m.toks[j].text)] }
	return t.kind == kNumber && t.decimals == 0 && short && (waits(m.left(i, on)) || waits(m.right(i)))
}

// notesAhead tells whether the clause of token i says that something is noted on the
// cylinder, and no reading comes before it: what follows may be what is noted.
func (m *message) notesAhead(i int) bool {
	notes := m.clauseHas(i, func(t token) bool { return t.kind == kWord && m.words.noted[lowerCase(t.text)] })
	return notes && !slices.ContainsFunc(m.toks[:i], func(t token) bool { return t.is == isReading })
}

// quoted tells whether the clause of token i takes the number before it as what was
// written or said: "32.4とテープに書きました", where と is no and.
func (m *message) quoted(i int) bool {
	first := i
	for first > 0 && m.toks[first-1].clause == m.toks[i].clause {
		first--
	}
	return first > 1 && m.toks[first-1].text == "と" && m.toks[first-2].kind == kNumber
}

// partsClauses tells whether token i is an "and" or a "but" between clauses.
func (m *message) partsClauses(i int) bool {
	return m.toks[i].plays(and, but) && (i+1 == len(m.toks) || m.toks[i+1].clause != m.toks[i].clause)
}

// asides are the roles of the words in such a clause.
var asides = []role{neutral, vocative, on, inPlace, aside, using, analyser, meterName, saidHello, saidThanks, saidYes,
	too, when}

// trails tells whether a phrase that says nothing of a reading stands right behind
// one at the end of its clause, "31.4 signed the log", or begins the clause of one:
// "wet fingers 31.4".
func (m *message) trails(i int) bool {
	if !m.isPhrase(i) || m.helperRead(i) || m.words.inquiries[lowerCase(m.toks[i].text)] { // "31.4 can I go?": if it is?
		return false
	}
	if m.readingAt(m.left(i, aside)) && m.right(i, aside) < 0 || m.endsClause(i) {
		return true
	}
	n := m.right(i, aside, measured, percent, analyser, on)
	before := m.left(i, aside, vocative, saidHello, saidThanks, saidYes)
	begins := before < 0 || m.toks[before].role == subject && m.helpsAlong(before)
	return begins && m.readingAt(n) && m.toks[n].decimals > 0 && !m.notesAhead(i)
}

// leastDrawn is how many characters a phrase has at least that is written without blanks.
const leastDrawn = 3

// isPhrase tells whether token i is more than a word: a word alone may be of the number.
func (m *message) isPhrase(i int) bool {
	t := []rune(m.toks[i].text)
	return strings.Contains(m.toks[i].text, " ") || isUnspaced(t[0]) && len(t) >= leastDrawn
}

// endsClause tells whether phrase i stands behind a reading or a label of its clause,
// with nothing behind it there.
func (m *message) endsClause(i int) bool {
	before, behind := m.left(i, asides...), m.right(i, asides...)
	said := before >= 0 && (m.toks[before].is == isReading || m.toks[before].is == isLabel)
	return strings.Contains(m.toks[i].text, " ") && said && m.clauseReads(i) &&
		(behind < 0 || m.toks[behind].clause != m.toks[i].clause)
}

// trailsBehind tells whether all between token i and the reading of its clause says
// nothing of that, with nothing else behind: "31.4 after waiting 2 min".
func (m *message) trailsBehind(i int) bool {
	behind := m.right(i, asides...)
	return m.readingAt(m.left(i, asides...)) && (behind < 0 || m.toks[behind].clause != m.toks[i].clause)
}

// clauseReads tells whether the clause of token i has a reading.
func (m *message) clauseReads(i int) bool {
	return m.clauseHas(i, func(t token) bool { return t.is == isReading })
}

// leadsIn tells whether token i is a phrase that says nothing of a reading, before one
// in the clause that it opens: "my hands are wet 31.4". What is noted on the cylinder
// may be that number.
func (m *message) leadsIn(i int) bool {
	if !strings.Contains(m.toks[i].text, " ") || m.words.noted[lowerCase(m.toks[i].text)] {
		return false
	}
	for j := i - 1; j >= 0 && m.toks[j].clause == m.toks[i].clause; j-- {
		if !m.toks[j].plays(asides...) && m.toks[j].kind != kEmoji {
			return false
		}
	}
	n := m.right(i, aside, vocative, saidThanks, saidYes, saidHello)
	for n >= 0 && m.toks[n].kind == kWord && m.toks[n].plays(measured, neutral, percent, labelled) {
		n++
		if n == len(m.toks) {
			return false
		}
	}
	if n < 0 || m.toks[n].clause != m.toks[i].clause {
		return false
	}
	whole := func(t token) bool { return t.is == isReading && t.decimals == 0 }
	return (m.toks[n].is == isReading || m.toks[n].is == isLabel) && m.clauseReads(i) && !m.clauseHas(i, whole)
}

// behindAside tells whether a "but" stands behind a clause that says nothing of
// a reading, and nothing but that stands before it: "no rush, but 32.4".
func (m *message) behindAside(i int) bool {
	said := false
	for j := i - 1; j >= 0; j-- {
		t := m.toks[j]
		said = said || t.plays(aside, neutral, remark, apart)
		if !t.plays(asides...) && !t.plays(remark, apart, compared, than) && t.kind != kEmoji && t.kind != kComma {
			return false
		}
	}
	return said
}

// softens tells whether a "but" right behind a reading is no more than a polite end of
// the message: 31.4なんですけど.
func (m *message) softens(i int) bool {
	last := !slices.ContainsFunc(m.toks[i+1:], func(t token) bool { return !t.kind.separates() && t.kind != kEmoji })
	return last && m.words.softeners[lowerCase(m.toks[i].text)] && m.readingAt(m.left(i, measured))
}

// beforeBut tells whether the next "but" stands behind nothing but asides.
func (m *message) beforeBut(i int) bool {
	for ; i < len(m.toks); i++ {
		if m.toks[i].role == but {
			return m.behindAside(i)
		}
	}
	return false
}

// besideKept tells whether token i stands in a clause that says no more than
// that the cylinder was never out of sight: "32.6, and it was with me all the
// time". It names no cylinder but somebody's only one, and nothing in it denies,
// hedges or passes.
func (m *message) besideKept(i int) bool {
	kept := false
	for _, t := range m.toks {
		if t.clause != m.toks[i].clause {
			continue
		}
		kept = kept || t.plays(saidKept, unparted, withMe)
		word := t.kind == kWord && t.is == isOpen && t.plays(keptRoom...) && !m.words.passing[lowerCase(t.text)]
		if t.is == isLabel && m.ctx.Cylinders == 1 {
			continue
		}
		if !word && !t.kind.separates() && t.kind != kEmoji {
			return false
		}
	}
	return kept
}

// keptRoom are the roles of the words in such a clause.
var keptRoom = []role{neutral, vocative, always, stay, when, inPlace, withMe, saidKept, unparted, and, labelled, on,
	measured, saidThanks}

// clauseEnds are the first and the last token of the clause of token i, without
// the signs that part it from others.
func (m *message) clauseEnds(i int) (first, last int) {
	for first = i; first > 0 && !m.toks[first-1].kind.separates(); first-- {
	}
	for last = i; last+1 < len(m.toks) && !m.toks[last+1].kind.separates(); last++ {
	}
	return first, last
}

// measures tells whether token i is a verb of measuring, "mido 32,4", or says
// that it is so still, beside a reading in a clause that says nothing else is
// yet to be done.
func (m *message) measures(i int) bool {
	if !m.measuring(m.toks[i]) {
		return false
	}
	if m.gotNext(i) {
		return true
	}
	pending := func(t token) bool { return t.plays(act, will, saidNotYet, when, doubtful) && !m.measuring(t) }
	return m.clauseHas(i, func(t token) bool { return t.is == isReading }) && !m.clauseHas(i, pending)
}

// gotNext tells whether token i is a verb of measuring in a clause without a number,
// and the next one says what came of it: "mido la 17 y da 31,4".
func (m *message) gotNext(i int) bool {
	if !m.measuring(m.toks[i]) || !m.toks[i].plays(act, will) {
		return false
	}
	_, last := m.clauseEnds(i)
	for j := i + 1; j <= last; j++ {
		if m.toks[j].clause != m.toks[i].clause {
			return m.toks[j-1].role == and && m.toks[j].role == measured || m.toks[j].role == and && m.andGot(j)
		}
		if t := m.toks[j]; t.kind == kNumber && !m.isKnown(t) {
			return false
		}
	}
	return false
}

func (m *message) measuring(t token) bool {
	return t.plays(act, will, always, stay, doubtful, saidNotYet) && m.words.measuring[lowerCase(t.text)]
}
