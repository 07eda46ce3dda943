package reply

import (
	"slices"

	"gasmuster/internal/gas"
)

// judge looks for what is not accounted for, now that all that does something
// is known.
func (m *message) judge() {
	m.opens()
	m.count()
	m.corrected()
	m.bareAir()
	m.written()
	m.account()
}

// states tells whether the message gives numbers of an analysis.
func (m *message) states() bool {
	return len(m.found) > 0 || m.result.AirPoint.Known() || len(m.result.Monoxide) > 0 || len(m.doubts) > 0
}

// count doubts more readings than cylinders, two for one, and a number without
// a place beside another.
func (m *message) count() {
	m.saidTwice()
	seen, free, twice, places := map[Reading]bool{}, 0, false, 0
	for _, f := range m.found {
		key := Reading{Label: f.Label, Dive: f.Dive}
		if !f.placed {
			free++
			continue
		}
		twice = twice || seen[key]
		seen[key] = true
		places++
	}
	few := m.ctx.Cylinders > 0 && free+places > m.ctx.Cylinders && !(places == 1 && free == 0)
	beside := places > 0 || len(m.doubts) > 0 || len(m.result.Later) > 0
	if free > 1 || free > 0 && beside || few || twice || len(m.found) > mostReadings {
		for _, f := range m.found {
			m.demote(f, TooMany)
		}
		m.found = nil
	}
}

// saidTwice leaves one of the readings of somebody's only cylinder that are the
// same number in two forms: "32 flat, 32.0".
func (m *message) saidTwice() {
	if len(m.found) < 2 || m.ctx.Cylinders != 1 && !m.saidInWordsToo() {
		return
	}
	first := m.found[0]
	for n, f := range m.found {
		if f.placed || f.Percent != first.Percent || n > 0 && m.toks[f.tok].text == m.toks[first.tok].text {
			return
		}
	}
	m.found = m.found[:1]
}

// saidInWordsToo tells whether the message has two numbers, one in words and one typed:
// "thirty two point three, 32.3". So nobody gives two cylinders theirs.
func (m *message) saidInWordsToo() bool {
	return len(m.found) == 2 && m.toks[m.found[0].tok].inWords != m.toks[m.found[1].tok].inWords
}

// mostReadings in one message: as many as a person may have cylinders.
const mostReadings = 6

// bareAir doubts a bare number that is as much as air has, where enriched air
// was ordered: is that the cylinder, or the analyser in air? And an air point
// of an analyser that nobody named.
func (m *message) bareAir() {
	if len(m.found) == 1 && !m.found[0].placed && len(m.ctx.Asked) > 0 && !m.asksAir() {
		if f := m.found[0]; f.Percent >= leastAir && f.Percent <= mostAir {
			m.demote(f, AirOrReading)
			m.found = nil
		}
	}
	nobodys := len(m.found) == 0 && m.meter == "" && len(m.ctx.Analysers) > 1
	if p := m.result.AirPoint; p.Known() && nobodys && m.saidFresh() {
		m.doubts = append(m.doubts, Doubt{Text: m.airText(), Why: AirOrReading, Suggest: plausibly(float64(p))})
		m.result.AirPoint = 0
	}
}

// leastAir and mostAir are what analysers show in air, humid or not, before
// they are calibrated again.
const leastAir, mostAir gas.Percent = 20, 21.5

// saidFresh tells whether no word but one for fresh air or calibration says
// what the number is.
func (m *message) saidFresh() bool {
	said := false
	for _, t := range m.toks {
		if t.role == air {
			return false
		}
		said = said || t.role == fresh
	}
	return said
}

func (m *message) airText() string {
	for _, t := range m.toks {
		if t.is == isAir {
			return t.text
		}
	}
	return ""
}

// account refuses the first token that nothing accounts for.
func (m *message) account() {
	for i := range m.toks {
		if m.asks(i) && (m.states() || !m.seeksHelp()) {
			m.refuse(i, Question)
		}
	}
	if m.onlyOrdered() {
		m.refuse(0, Blend)
	}
	if m.ordered && !m.refused {
		for _, f := range m.found { // beside an order only what an instrument shows is a reading
			if !f.proved && !f.placed && !m.itIs(f) && !m.apartFromOrder(f) {
				m.refuse(f.tok, Blend)
			}
		}
	}
	for i := range m.toks {
		if !m.accounted(i) {
			m.refuse(i, m.whyLeft(i))
		}
	}
}

// seeksHelp tells whether the message is a question that is known as a whole:
// "where is the analyser?".
func (m *message) seeksHelp() bool {
	for _, t := range m.toks {
		if t.role == saidHelp || t.role == saidTrouble {
			return true
		}
	}
	return false
}

// asks tells whether token i makes its sentence a question.
func (m *message) asks(i int) bool {
	t := m.toks[i]
	first := i == 0 || m.toks[i-1].sentence != t.sentence
	if t.kind == kAsk {
		return !m.inquires(i) && !m.followsUp(i)
	}
	if t.role == question && !t.done {
		return true
	}
	return first && t.kind == kWord && t.role != measured && m.words.questions[lowerCase(t.text)]
}

// accounted tells whether token i has its place in the message.
func (m *message) accounted(i int) bool {
	t := m.toks[i]
	switch {
	case t.is == isOther && t.unit == unitTimes:
		return m.timesMeasured(i)
	case t.is == isOther && m.states() && m.waited(i):
		return m.aside(i) || m.trailsBehind(i)
	case t.is == isOther && t.unit == unitMinutes && m.states():
		return m.ago(i)
	case t.is == isOther && (t.unit == unitMinutes || t.unit == unitQueue) && !m.states():
		return m.overheard(m.said()) != None // "give me 10 minutes"
	case t.is == isBar:
		return m.besideReading(i)
	case t.is == isOther:
		return false
	case t.is == isCount:
		return m.counts(i)
	case m.states() && (m.aside(i) || m.besideKept(i) || m.analysed(i)), m.states() && t.role == aside && m.beforeBut(i):
		return true
	case t.done, t.kind.separates(), t.kind == kEmoji, t.kind == kArrow, t.kind == kBullet:
		return true
	case t.kind == kHash:
		behind := i > 0 && m.toks[i-1].is == isLabel // 17#
		return behind || i+1 < len(m.toks) && (m.toks[i+1].is == isLabel || m.toks[i+1].is == isDoubt)
	case t.kind == kPercent:
		return i == 0 || m.toks[i-1].kind == kWord || m.toks[i-1].percent
	case t.kind == kDash:
		return m.dashes(i)
	case t.kind == kAround:
		drawn := m.words.han && t.glued && i > 0 && m.toks[i-1].plays(saidHello, saidThanks, saidYes) // 哈喽～
		return drawn || t.text == ">" && i > 0 && m.toks[i-1].is == isLabel
	case t.is != isOpen:
		return true
	case t.kind != kWord:
		return false
	case !m.states():
		return true // words.go sees to those
	}
	return m.wordAccounted(i)
}

// wordAccounted tells whether word i has its place beside a reading.
func (m *message) wordAccounted(i int) bool {
	switch t := m.toks[i]; {
	case m.onlyThat(i), m.agoWord(i), m.opensTo(i):
		return true
	case t.role == vocative:
		return m.addressed(i)
	case t.role == neutral && m.words.times[lowerCase(t.text)]: // "twice 32.4" may be of two cylinders
		return slices.ContainsFunc(m.toks, func(t token) bool { return t.role == measured || m.ofInstrument(t) })
	case t.role == but:
		return m.numberBeside(i, -1) && m.numberBeside(i, 1) || m.behindAside(i) || m.aside(i+1) || m.softens(i)
	case t.role == on:
		return m.leads(i)
	case t.role == labelled && i > 0 && m.toks[i-1].is == isReading && m.toks[i-1].whole(): // "32 tanks"
		return i+1 < len(m.toks) && m.toks[i+1].is == isLabel
	case t.role == using:
		return m.clauseHas(i, func(t token) bool { return t.is == isMeter || t.role == analyser })
	case t.role == past:
		return m.wasDenied(i) || m.wasRight(i) || m.thenMeasured(i) || m.wasMeasured(i)
	case t.role == wrote: // "typed a wrong digit, 33.5"
		return m.clauseHas(i, func(t token) bool { return t.role == excuse })
	case t.role == ordinal:
		return m.enumerates() || m.first(i)
	case t.plays(remark, apart, compared, than):
		return m.remarks(i)
	case t.role == other:
		return m.ofPressure(i)
	case t.role == aside:
		return m.trails(i) || m.leadsIn(i)
	case t.role == subject:
		return m.saysMeter(i) || m.helpsAlong(i) && m.right(i) >= 0 && m.trails(m.right(i))
	case t.role == soFar, t.plays(act, stay) && m.soFar(i): // "only had 14 so far, 32.4"
		return m.clauseHas(i, func(t token) bool { return t.is == isLabel })
	case t.role == shouldBe: // the second part of a frame
		return m.clauseHas(i, func(t token) bool { return t.role == shouldBe && t.done })
	case t.role == noting:
		return m.unorderable(i) || m.decimalsOnly()
	case t.role == span:
		return becoming[lowerCase(t.text)] && m.changes(i) && m.unorderable(i)
	case t.role == excuse:
		return m.result.Correction
	case t.role == too:
		return !m.clauseHas(i, func(t token) bool { return t.done && t.plays(saidNotYet, will, inPlace) })
	case t.role == particle:
		return m.ofVerb(i)
	case m.measures(i), t.plays(stay, act) && m.haveMeasured(i):
		return true
	case t.role == inPlace && m.didInClause(i):
		return true
	case t.plays(act, when, inPlace, stay, last, saidNotYet, will):
		return m.ofLater(i)
	case t.role == saidYes:
		return !m.readBefore(i) || m.words.exactly[lowerCase(t.text)] || m.result.Correction
	default:
		return roomInReading[t.role]
	}
}

// becoming are the words of a range that also lead to a new number: "change 9 to 32.5".
var becoming = map[string]bool{"to": true, "up to": true, "down to": true}

var reasons = map[role]Doubtful{question: Question, doubtful: Vague, span: Vague,
	same: Blend, alike: Blend, expected: Blend, ordered: Blend, blend: Blend, air: Blend, other: OtherUnit,
	saidNotYet: Vague, will: Vague, shouldBe: Blend, soFar: Vague, noting: Blend, changing: Blend,
	saidUnsure: Vague, saidDontKnow: Vague, saidTrouble: Vague, remark: Vague, apart: Vague, compared: Vague,
	than: Blend}

func (m *message) whyLeft(i int) Doubtful {
	t := m.toks[i]
	switch {
	case t.kind == kAround:
		return Vague
	case t.is == isBar:
		return Pressure
	case t.is == isOther, t.is == isCount:
		return OtherUnit
	}
	if why, ok := reasons[t.role]; ok && t.kind == kWord {
		return why
	}
	return Words
}
