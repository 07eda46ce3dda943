package reply

import (
	"regexp"
	"strconv"
	"strings"
)

// Which of the numbers are labels. A number is one when a word or sign marks
// it ("tank 17", "17:"), or when it is one of the person's own labels and a
// number of its own follows. What may be either is asked about.

func (m *message) places() {
	for i := range m.toks {
		switch t := m.toks[i]; {
		case t.kind == kNumber && t.is == isOpen && t.unit == noUnit:
			m.placeOrReading(i)
		case t.kind == kTwoWays:
			m.twoWays(i)
		case t.kind == kBad && t.is == isOpen:
			m.doubt(i, Slip, plausibly(t.value))
		case t.kind == kLabel:
			m.claim(i, isLabel)
		case t.kind == kWord && t.is == isOpen && (t.role == unknownWord || t.role == neutral && isCapital(t.text)):
			m.newName(i)
		}
	}
}

func (m *message) placeOrReading(i int) {
	t := m.toks[i]
	label, known := m.known(t)
	next, adjacent, jointed := m.reaches(i)
	marked := m.marked(i)
	switch {
	case t.nth:
		m.nthLabel(i)
	case m.minus(i):
		m.toks[i].text = "-" + t.text
		m.doubt(i, Slip, plausibly(t.value))
	case t.weak && m.isKnown(token{kind: kNumber, text: t.text[len(t.text)-1:]}):
		// "trentadue e quattro", and there is a cylinder 4
		m.doubt(i, LabelOrReading, plausibly(t.value))
	case m.brokenOff(i):
		m.doubt(i, Slip, plausibly(t.value))
	case m.torn(i), m.spanned(i):
	case t.decimals > 0 || t.percent:
		m.reading(i)
	case marked && next >= 0, jointed && next >= 0:
		m.label(i, label)
	case marked && (m.unplacedBefore(i) || known && m.surelyLabel(i, next)):
		m.label(i, label)
	case marked:
		m.labelOrReading(i)
	case known && m.surelyLabel(i, next):
		m.label(i, label)
	case known:
		m.labelOrReading(i)
	case adjacent && next >= 0 && m.toks[next].decimals > 0 && m.toks[next].plausible():
		m.newLabel(i)
	default:
		m.reading(i)
	}
}

func (m *message) label(i int, name string) {
	if name == "" {
		name = m.toks[i].text
	}
	m.toks[i].name = name
	m.claim(i, isLabel)
}

// reaches is the number that a label before it would be the label of: across
// neutral words, verbs, a blend with its number and signs, within the clause.
func (m *message) reaches(i int) (next int, adjacent, jointed bool) {
	adjacent = true
	for j := i + 1; j < len(m.toks); j++ {
		t := m.toks[j]
		switch {
		case t.is == isOrder, t.is == isBar, t.kind == kBlend, t.role == and && m.andGot(j):
			adjacent = false
			continue
		case t.kind == kNumber && t.is <= isReading && t.unit == noUnit, t.kind == kTwoWays, t.kind == kBad:
			return j, adjacent, jointed
		case t.kind == kHash && t.glued && j == i+1:
		case t.kind == kArrow, t.kind == kDash && (!t.glued || j == i+1), t.kind == kAround && t.text == ">":
			jointed = true
		case t.kind == kEmoji:
		case t.kind == kWord && (t.plays(reachable...) || t.role == ordinal && t.is == isOpen || m.measuring(t) ||
			t.role == ordered && t.done || t.role == span && m.changes(j)):
			adjacent = false
		default:
			return -1, false, false
		}
	}
	return -1, false, false
}

// andGot tells whether "and" leads to the verb of an instrument: "measured 22 and
// got 31.7" gives 22 a number, "22 and 31.7" does not.
func (m *message) andGot(i int) bool {
	return i+1 < len(m.toks) && m.toks[i+1].role == measured
}

// reachable are the words across which a label finds its number.
var reachable = []role{neutral, saidYes, soFar, shouldBe, measured, particle, percent, labelled, on, blend, both,
	alike, too, noting, changing, correction, excuse}

// marked tells whether a word or sign before the number says that it is a
// cylinder's: "tank 17", "#17", "no. 17".
func (m *message) marked(i int) bool {
	if m.words.han && i+1 < len(m.toks) && m.toks[i+1].role == labelled && strings.ContainsAny(m.toks[i+1].text, "号番") {
		return true // 44号
	}
	if i+1 < len(m.toks) && m.toks[i+1].kind == kHash && m.toks[i+1].glued && m.isKnown(m.toks[i]) {
		return true // 17#
	}
	if m.words.han && i > 1 && m.toks[i-1].role == labelled && m.toks[i-1].glued && m.isKnown(m.toks[i-2]) {
		return false // 22号33: the label is before it
	}
	return i > 0 && (m.toks[i-1].kind == kHash || m.toks[i-1].role == labelled)
}

// newLabel is a number that nobody knows as a label right before a reading: a
// label that the diver reads off the cylinder, if it can be nothing else.
func (m *message) newLabel(i int) {
	switch t := m.toks[i]; {
	case t.plausible(), m.afterDive(i):
		m.labelOrReading(i)
	case isPressure(t.value):
		m.reading(i)
	default:
		m.label(i, t.text)
	}
}

// afterDive tells whether a dive was named right before.
func (m *message) afterDive(i int) bool {
	j := m.left(i, dive)
	return j >= 0 && m.toks[j].is == isDive
}

func (m *message) labelOrReading(i int) {
	if label, known := m.known(m.toks[i]); known {
		m.result.Label = label
	}
	m.doubt(i, LabelOrReading, plausibly(m.toks[i].value))
}

// newName takes a label of letters and digits that nobody knows yet, right
// before its reading ("A14: 31.8"), or a letter after a word for a cylinder.
func (m *message) newName(i int) {
	t := m.toks[i]
	next, adjacent, jointed := m.reaches(i)
	if next < 0 || m.toks[next].kind != kNumber {
		return
	}
	letter := isCapital(t.text) && m.marked(i)
	if letter || nameForm.MatchString(t.text) && (adjacent || jointed) && m.toks[next].decimals > 0 {
		m.label(i, t.text)
	}
}

// isCapital tells whether a word is one capital letter: a cylinder's name, even
// where the letter is an article, too.
func isCapital(s string) bool {
	return len(s) == 1 && s[0] >= 'A' && s[0] <= 'Z'
}

var nameForm = regexp.MustCompile(`^[A-Za-z]{1,2}\d{1,4}$`)

// numbers counts the numbers of the message that may be labels or readings.
func (m *message) numbers() int {
	n := 0
	for _, t := range m.toks {
		if t.kind == kNumber && t.unit == noUnit && (t.is == isOpen || t.is == isReading || t.is == isLabel) {
			n++
		}
	}
	return n
}

func (m *message) isKnown(t token) bool { _, ok := m.known(t); return ok }

// known finds the person's own label that a token is: as typed, or without
// leading zeros.
func (m *message) known(t token) (string, bool) {
	if t.kind == kLabel {
		return t.name, true
	}
	if t.kind != kNumber || t.percent {
		return "", false
	}
	for _, l := range m.ctx.Labels {
		if f := strings.TrimSpace(fold(l)); f == t.text && f != "" {
			return l, true
		}
	}
	n, whole := wholeNumber(t.text)
	if !whole {
		return "", false
	}
	for _, l := range m.ctx.Labels {
		if k, whole := wholeNumber(strings.TrimSpace(fold(l))); whole && k == n {
			return l, true
		}
	}
	return "", false
}

// wholeNumber reads digits, perhaps with a sign; most of what it is asked about
// has others and needs no error made of it.
func wholeNumber(s string) (int, bool) {
	if strings.Trim(s, "+-0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}
