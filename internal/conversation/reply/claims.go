package reply

import "gasmuster/internal/gas"

// Words and units that have a number of their own: it is none of a cylinder's
// percentage.

func (m *message) claims() {
	for i, t := range m.toks {
		switch {
		case t.is == isTime:
		case t.kind == kNumber && t.unit != noUnit:
			m.measure(i)
		case t.kind == kCompound && t.unit != noUnit, t.kind == kCompound && !m.labelAndNumber(i):
			m.claim(i, isOther)
		case t.kind == kBad && t.unit != noUnit:
			m.claim(i, isOther)
		case t.role == monoxide:
			m.monoxide(i)
		case (t.role == air || t.role == fresh) && !t.done:
			m.airPoint(i)
		case t.role == other:
			m.ofOther(i)
		}
	}
}

// measure is a number with another unit.
func (m *message) measure(i int) {
	if t := m.toks[i]; t.name == "'s" && m.isKnown(t) { // "17's 31.6"
		m.toks[i].unit, m.toks[i].name = noUnit, ""
	} else if t.unit == unitPressure {
		m.claim(i, isBar)
	} else if t.unit == unitCount && t.whole() {
		m.claim(i, isCount)
	} else if t.unit == unitMinutes && m.waits(i) {
		m.toks[i].kind, m.toks[i].role = kWord, saidNotYet
	} else if t.unit != unitPPM || t.is != isMonoxide {
		m.claim(i, isOther)
	}
}

// waits tells whether minutes are those until a cylinder is done: "in 5
// minutes", with no other number.
func (m *message) waits(i int) bool {
	for j, t := range m.toks {
		if j != i && (t.kind == kNumber || t.kind == kLabel || t.kind == kTwoWays || t.kind == kBad) {
			return false
		}
	}
	before := i > 0 && m.words.within[lowerCase(m.toks[i-1].text)]
	if before {
		m.toks[i-1].done = true
	}
	after := i+1 < len(m.toks) && m.words.within[lowerCase(m.toks[i+1].text)]
	if after {
		m.toks[i+1].done = true
	}
	return before || after
}

// ofOther is "MOD 33" and "33 MOD", "seat 32", "computer 32".
func (m *message) ofOther(i int) {
	if n := m.right(i, measured, on); m.number(n) {
		m.toks[n].is = isOther
	} else if n := m.left(i); m.number(n) && i == n+1 && m.right(i) < 0 {
		m.toks[n].is = isOther
	}
}

// labelAndNumber is "17:32", where 17 is one of the labels and no word makes
// it a time of day.
func (m *message) labelAndNumber(i int) bool {
	t := &m.toks[i]
	a, b, ok := cutClock(t.text)
	name, known := m.known(token{kind: kNumber, text: a})
	v := parseNumber(b)
	if !ok || !known || !wholePlausible(v) || m.wordy() {
		return false
	}
	m.claim(i, isReading)
	r := Reading{Label: name, Percent: gas.Percent(v)}
	m.found = append(m.found, found{Reading: r, tok: i, clause: t.clause, placed: true})
	return true
}

// wordy tells whether there are any words in the text: with words, 17:32 is a
// time of day.
func (m *message) wordy() bool {
	for _, t := range m.toks {
		if t.kind == kWord {
			return true
		}
	}
	return false
}

// monoxide takes the number that is carbon monoxide beside the word for it.
func (m *message) monoxide(i int) {
	n := m.monoxideBefore(i)
	if n < 0 {
		n = m.monoxideAfter(i)
	}
	if n < 0 || m.toks[n].value > mostPPM {
		m.refuse(i, OtherUnit)
		return
	}
	m.claim(n, isMonoxide)
	m.toks[i].done = true
}

// monoxideBefore is "12 ppm CO".
func (m *message) monoxideBefore(i int) int {
	if n := m.left(i); n >= 0 && m.toks[n].unit == unitPPM && m.toks[n].kind == kNumber {
		return n
	}
	return -1
}

// monoxideAfter is the first number after CO, past a label: "17 CO 4 air 20.9", "CO of
// 17 is 3 ppm". A label alone is the number itself: "CO 17".
func (m *message) monoxideAfter(i int) int {
	n := -1
	for j := i + 1; j < len(m.toks) && m.toks[j].clause == m.toks[i].clause; j++ {
		t := m.toks[j]
		if t.kind != kNumber || t.is != isOpen || t.percent || t.unit != noUnit && t.unit != unitPPM {
			continue
		}
		_, label := m.known(t)
		if n < 0 || !label {
			n = j
		}
		if !label || t.unit == unitPPM {
			break
		}
	}
	return n
}

// mostPPM is the most carbon monoxide that is taken without a question: what
// the sensors of hand-held analysers reach (common practice, no source).
const mostPPM = 100

// airPoint is what the analyser showed in fresh air: the number on either side.
func (m *message) airPoint(i int) {
	next, before := m.right(i, measured, on, analyser, fresh, air, meterName), m.left(i, on, analyser, meterName)
	n := -1
	switch {
	case m.number(next):
		n = next
	case m.number(before) && m.right(i) < 0:
		n = before
	case before >= 0 && m.toks[before].is == isAir, next >= 0 && m.toks[next].is == isAir:
		m.toks[i].done = true
		return
	}
	switch {
	case n < 0 && m.toks[i].role == fresh && m.airAhead(i):
		m.toks[i].done = true // "calibrated again, air 20.9"
	case (n < 0 || n > i) && m.calibratedBefore(i):
		m.toks[i].done = true
	case n < 0:
		m.refuse(i, map[role]Doubtful{air: Blend, fresh: AirOrReading}[m.toks[i].role])
	case m.toks[n].value < 15 || m.toks[n].value > 25:
		m.doubt(n, AirOrReading, plausibly(m.toks[n].value))
		m.refuse(i, AirOrReading)
	case m.airIsDoubtful(n, m.toks[i].role):
		m.doubt(n, m.airDoubt(n), plausibly(m.toks[n].value))
		m.refuse(i, AirOrReading)
	default:
		m.claim(n, isAir)
		m.toks[i].done = true
		m.result.AirPoint = gas.Percent(m.toks[n].value)
	}
}

// airAhead tells whether the message says later what the analyser showed in air.
func (m *message) airAhead(i int) bool {
	for j := i + 1; j+1 < len(m.toks); j++ {
		if m.toks[j].role == air && m.number(m.right(j, measured)) {
			return true
		}
	}
	return false
}

// airIsDoubtful tells whether "air 20.9" may also be a cylinder of air, or a
// blend's name.
func (m *message) airIsDoubtful(n int, r role) bool {
	if _, label := m.known(m.toks[n]); label {
		return true
	}
	if r == fresh {
		return false
	}
	return m.toks[n].whole() || m.asksAir()
}

func (m *message) airDoubt(n int) Doubtful {
	if _, label := m.known(m.toks[n]); label {
		return LabelOrReading
	}
	if m.toks[n].whole() && !m.asksAir() {
		return Blend
	}
	return AirOrReading
}

// asksAir tells whether a cylinder of air was ordered.
func (m *message) asksAir() bool {
	for _, a := range m.ctx.Asked {
		if a == gas.Air {
			return true
		}
	}
	return false
}
