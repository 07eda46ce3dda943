package reply

import "strings"

// Numbers that belong together: torn by a slip, ends of a span, a blend with
// blanks, two numbers or one.

// torn notices a number torn in two: "3 2.4", "32 4", "32 .4".
func (m *message) torn(i int) bool {
	if i+1 >= len(m.toks) {
		return false
	}
	t, n := m.toks[i], m.toks[i+1]
	if n.kind != kNumber || n.unit != noUnit || n.is != isOpen || !t.whole() || t.plausible() && n.plausible() {
		return false
	}
	whole := 0.0
	switch {
	case n.value < 1 && n.decimals > 0 && t.plausible():
		whole = t.value + n.value
	case t.value < 10 && n.value < 10 && n.decimals == 1:
		whole = t.value*10 + n.value
	case t.plausible() && n.whole() && n.value < 10 && len(n.text) == 1 && !m.isKnown(n):
		whole = t.value + n.value/10
	}
	if plausibly(whole) == 0 {
		return false
	}
	m.claim(i+1, isDoubt)
	m.toks[i].text += " " + n.text
	m.doubt(i, Slip, plausibly(whole))
	return true
}

// brokenOff tells whether a whole number ends the message with its decimal sign, typed
// once or more, and what follows that got lost: "31,", "31,,", and "31." where no
// sentence ends.
func (m *message) brokenOff(i int) bool {
	if i+1 >= len(m.toks) || !m.toks[i].whole() || !m.toks[i+1].glued {
		return false
	}
	comma := false
	for _, t := range m.toks[i+1:] {
		if t.kind != kComma && (t.kind != kStop || t.text != ".") {
			return false
		}
		comma = comma || t.kind == kComma
	}
	return comma || i == 0 && len(m.toks) == 2
}

// spanned notices "31-32", "31 to 32" and "32 or 33", and a blend typed with
// blanks, "32 / 68".
func (m *message) spanned(i int) bool {
	if i+2 >= len(m.toks) {
		return false
	}
	t, mid, n := m.toks[i], m.toks[i+1], m.toks[i+2]
	if n.kind != kNumber || n.unit != noUnit {
		return false
	}
	switch {
	case mid.text == "/" && t.value+n.value == 100:
		m.claim(i+2, isDoubt)
		m.claimOrder(i)
		m.refuseOrder(i + 1)
		return true
	case mid.kind == kDash && mid.glued && (m.isKnown(t) || t.whole() && (!t.plausible() || n.decimals > 0)):
		return false // "17-32.4"
	case mid.role != span && !(mid.kind == kDash && mid.glued), mid.role == span && m.changes(i+1):
		return false
	}
	m.claim(i+1, isDoubt)
	m.claim(i+2, isDoubt)
	m.toks[i].text = strings.Join([]string{t.text, mid.text, n.text}, " ")
	m.doubt(i, Vague, 0)
	return true
}

// minus tells whether a sign that stands off what is before it sticks to the
// number: "-32.4". No analyser shows it.
func (m *message) minus(i int) bool {
	return i > 0 && m.toks[i-1].kind == kDash && !m.toks[i-1].glued && m.toks[i].glued
}

// twoWays is 32,36: two numbers, unless there is but one cylinder.
func (m *message) twoWays(i int) {
	t := &m.toks[i]
	first, _, _ := strings.Cut(t.text, ",")
	labelFirst := m.isKnown(token{kind: kNumber, text: first})
	placed := i > 0 && m.toks[i-1].is == isLabel
	if t.percent || placed || m.ctx.Cylinders == 1 && !labelFirst {
		t.kind = kNumber
		m.reading(i)
		return
	}
	m.doubt(i, TwoWays, 0)
}

func cutClock(s string) (string, string, bool) {
	a, b, ok := strings.Cut(s, ":")
	return a, b, ok && len(b) == 2
}
