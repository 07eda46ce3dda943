package reply

import (
	"slices"
	"strings"
)

// alarm hears the words that a leader must hear at once, and the names of what
// this check does not cover. Nothing else of such a message is heard: a number
// beside a leak is no reading.
func (m *message) alarm() bool {
	for i, t := range m.toks {
		switch {
		case t.role == alarmed:
			words := m.words.typed(t.text)
			if m.words.alarms[words] == NotAnalysed && m.mayRead() {
				continue // a number that was guessed is asked about
			}
			m.raise(m.words.alarms[words])
			m.result.Cry = m.words.cries[words]
			return true
		case t.role == correction && m.words.alone[m.words.typed(t.text)] && !m.hasNumber():
			return m.raise(WrongCylinder)
		case m.cries(i):
			m.raise(Distress)
			m.result.Cry = true
			return true
		case t.role == helium && !m.pronoun(i), t.kind == kBlend && t.value != 100:
			m.outside(i)
		}
	}
	if a := m.tornAlarm(); a != "" {
		return m.raise(a)
	}
	if !m.result.Outside && m.anothersCylinder() {
		return m.raise(WrongCylinder)
	}
	return m.result.Outside
}

// raise passes an alarm on, with the cylinder that it names.
func (m *message) raise(a Alarm) bool {
	m.result = Result{Intent: Alarmed, Alarm: a, Label: m.onlyLabel()}
	return true
}

// tornAlarm is an alarm whose words do not stand together: "someone … my tank".
// People say what happened between them in more ways than a list can hold.
type tornAlarm struct {
	first, second string
	alarm         Alarm
}

// longestGap is how many bytes may stand between the two parts: a few words.
const longestGap = 32

// fewestTorn is how many words a message has that holds a torn alarm: most
// have fewer, and need not be searched.
const fewestTorn = 3

// tornMark stands between the two parts in a vocabulary file.
const tornMark = "…"

// cutAlarms parts the phrases of a list that stand together from those that do not.
func (v *vocabulary) cutAlarms(a Alarm, list []string) (whole []string, torn []tornAlarm) {
	for _, w := range list {
		first, second, ok := strings.Cut(w, tornMark)
		if !ok {
			whole = append(whole, w)
			continue
		}
		torn = append(torn, tornAlarm{v.part(first), v.part(second), a})
	}
	return whole, torn
}

// part is one part of a torn alarm, with blanks about it where words have them.
func (v *vocabulary) part(s string) string {
	if s = v.typed(s); v.han {
		return s
	}
	return " " + s + " "
}

func plainlyTorn(all []tornAlarm) []tornAlarm {
	var out []tornAlarm
	for _, t := range all {
		if p := (tornAlarm{accentless(t.first), accentless(t.second), t.alarm}); p != t {
			out = append(out, p)
		}
	}
	return out
}

// tornAlarm finds an alarm in two parts, "" when there is none.
func (m *message) tornAlarm() Alarm {
	words := 0
	for _, t := range m.toks {
		if t.kind == kWord {
			words++
		}
	}
	if words < fewestTorn {
		return ""
	}
	text := m.plainText()
	for _, t := range m.words.torn {
		_, after, ok := strings.Cut(text, t.first)
		if !ok {
			continue
		}
		if gap := strings.Index(" "+after, t.second); gap >= 0 && gap <= longestGap && !strings.Contains(after[:gap], ".") {
			return t.alarm
		}
	}
	return ""
}

// plainText is the message in lower case with one blank between words, or
// without any where the script has none.
func (m *message) plainText() string {
	var b strings.Builder
	for _, t := range m.toks {
		if !m.words.han || t.text != "" && t.text[0] < 0x80 {
			b.WriteByte(' ')
		}
		b.WriteString(lowerCase(t.text))
	}
	b.WriteByte(' ')
	return b.String()
}

// pronoun tells whether "he" is somebody and no gas: no number stands beside it, and it
// leads to a word. It is of somebody else then.
func (m *message) pronoun(i int) bool {
	if lowerCase(m.toks[i].text) != "he" {
		return false
	}
	number := func(j int) bool {
		return j >= 0 && j < len(m.toks) && m.toks[j].kind != kWord && !m.toks[j].kind.separates()
	}
	if number(i-1) || number(i+1) || i+1 >= len(m.toks) || m.toks[i+1].kind != kWord {
		return false
	}
	if next := m.toks[i+1]; next.plays(percent, blend, air, analyser) {
		return false
	}
	m.toks[i].role = subject
	return true
}

// outside is helium, a mix of three gases or a closed circuit.
func (m *message) outside(i int) {
	t := m.toks[i]
	text := t.text
	if next := m.right(i); t.kind == kWord && next >= 0 && m.toks[next].kind == kBlend {
		text = m.toks[next].text
	}
	if !m.result.Outside {
		d := Doubt{Text: clip(text), Why: Blend, Word: clip(t.text), Role: string(helium)}
		m.result = Result{Outside: true, Unclear: []Doubt{d}}
	}
}

// onlyLabel is the one label of the person's that a message names.
func (m *message) onlyLabel() string {
	labels := m.labelsNamed()
	if len(labels) != 1 {
		return ""
	}
	return labels[0]
}

// labelsNamed are the labels of the person's that a message names.
func (m *message) labelsNamed() []string {
	var labels []string
	for _, t := range m.toks {
		if name, ok := m.known(t); ok && !slices.Contains(labels, name) {
			labels = append(labels, name)
		}
	}
	return labels
}
