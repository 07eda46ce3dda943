package reply

import (
	"regexp"
	"slices"
	"strconv"
)

// A time of day beside a reading, "measured at 7:40, 32.1", says when it was
// taken. It needs the verb of an instrument beside it: "7:40" may also be
// cylinder 7 with 40 percent, "32.4 at 8:30" when somebody will be there.

// Clock is a time of day as it was said: on a face of twelve hours or of
// twenty-four, nobody knows which.
type Clock struct {
	Said         bool
	Hour, Minute int
}

var clockForm = regexp.MustCompile(`^(\d{1,2})(?:[:.h](\d{2}))?(?:\pL|$)`)

// clocks claims the one time of day of a message that gives a reading.
func (m *message) clocks() {
	at := -1
	for i := range m.toks {
		if m.isTime(i) {
			if at >= 0 {
				return // two times: of what?
			}
			at = i
		}
	}
	if at < 0 || !m.givesNumber(at) {
		return
	}
	f := clockForm.FindStringSubmatch(m.toks[at].text)
	hour, _ := strconv.Atoi(f[1])
	minute, _ := strconv.Atoi(f[2])
	m.result.Clock = Clock{Said: true, Hour: hour, Minute: minute}
	m.claim(at, isTime)
	if before, led := m.ledToTime(at); led {
		m.toks[before].done = true
	}
}

// isTime tells whether token i can be nothing but a time of day.
func (m *message) isTime(i int) bool {
	t := m.toks[i]
	f := clockForm.FindStringSubmatch(t.text)
	if f == nil || t.is != isOpen {
		return false
	}
	hour, _ := strconv.Atoi(f[1])
	minute, _ := strconv.Atoi(f[2])
	before, led := m.ledToTime(i)
	switch {
	case hour > 23 || minute > 59 || !m.timed(i, before) || t.unit != noUnit && !m.words.oclock[t.name]:
		return false
	case t.kind == kNumber: // "um 8 Uhr"
		return t.whole() && led && (t.unit == unitOther || m.toks[before].role == other)
	case t.kind != kCompound || f[2] == "":
		return false
	case led:
		return true
	}
	_, label := m.known(token{kind: kNumber, text: f[1]})
	return !label
}

// ledToTime is the word before token i, and whether times of day follow it.
func (m *message) ledToTime(i int) (before int, led bool) {
	if before = m.left(i); before >= 0 && !m.words.clock[lowerCase(m.toks[before].text)] {
		before = m.left(i, on) // "stand van 8:15"
	}
	return before, before >= 0 && m.words.clock[lowerCase(m.toks[before].text)]
}

// timed tells whether the sentence of a time says what was done then: measured
// by an instrument, or that it is so as of then. "32.4 at 8:30" may be a plan.
func (m *message) timed(i, before int) bool {
	if before >= 0 && m.words.clock[lowerCase(m.toks[before].text)] && !m.toks[before].plays(on, other) {
		return true
	}
	return slices.ContainsFunc(m.toks, func(t token) bool {
		return t.sentence == m.toks[i].sentence && (t.role == measured || m.measuring(t))
	})
}

// givesNumber tells whether the message has a number with decimals beside token i.
func (m *message) givesNumber(i int) bool {
	for j, t := range m.toks {
		if j != i && t.kind == kNumber && t.decimals > 0 && t.unit == noUnit {
			return true
		}
	}
	return false
}
