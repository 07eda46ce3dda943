package reply

import (
	"slices"
	"strings"
	"unicode"
)

// Alarms that take more than a phrase: a cry for help, and the name of somebody on
// the trip beside a cylinder.

// cries tells whether token i is a word that asks for the manual, or with a "!"
// beside it for help.
func (m *message) cries(i int) bool {
	if !m.words.cries[lowerCase(m.toks[i].text)] {
		return false
	}
	called := func(j int) bool { return j >= 0 && j < len(m.toks) && m.toks[j].text == "!" }
	return called(i-1) || called(i+1)
}

// addSwaps takes in the words of swapping, as they stand in a message.
func (v *vocabulary) addSwaps(list []string) {
	for _, w := range list {
		for _, form := range []string{w, accentless(w)} {
			if p := v.part(form); !slices.Contains(v.swaps, p) {
				v.swaps = append(v.swaps, p)
			}
		}
	}
}

// nearName is how many words may stand between a name and the cylinder.
const nearName = 4

// anothersCylinder tells whether the name of somebody else on the trip stands near
// a word for a cylinder, or with one of swapping: "Ada has my tank". What gives a
// number that may be a reading, or asks, is no alarm.
func (m *message) anothersCylinder() bool {
	names := m.othersNamed()
	if len(names) == 0 || m.mayRead() {
		return false
	}
	for _, i := range names {
		near := m.toks[max(0, i-nearName):min(len(m.toks), i+nearName+1)]
		if slices.ContainsFunc(near, func(t token) bool { return t.kind == kWord && m.speaksOfCylinder(t) }) {
			return true
		}
	}
	text := m.plainText()
	return slices.ContainsFunc(m.words.swaps, func(s string) bool { return strings.Contains(text, s) })
}

// mayRead tells whether the message asks something, or gives a number that may be a
// reading.
func (m *message) mayRead() bool {
	return slices.ContainsFunc(m.toks, func(t token) bool {
		number := t.kind == kNumber && (t.decimals > 0 || t.plausible()) && !m.isKnown(t)
		return t.kind == kAsk || number || t.kind == kBad || t.kind == kTwoWays
	})
}

// othersNamed are the tokens that name somebody else on the trip. A word that means
// something else is a name only where it is written as one.
func (m *message) othersNamed() []int {
	var names []string
	for _, n := range m.ctx.Others {
		names = append(names, strings.Fields(accentless(lowerCase(fold(n))))...)
	}
	var at []int
	for i, t := range m.toks {
		if t.kind == kWord && isNameOf(names, t.text) &&
			(t.role == unknownWord || i > 0 && unicode.IsUpper([]rune(t.text)[0])) {
			at = append(at, i)
		}
	}
	return at
}

// isNameOf tells whether a word is one of the names, or says that something is
// theirs: "Ada's", "Adas".
func isNameOf(names []string, word string) bool {
	word = accentless(lowerCase(word))
	own, _, _ := strings.Cut(word, "'")
	return slices.ContainsFunc(names, func(n string) bool {
		return len([]rune(n)) > 1 && (own == n || word == n+"s")
	})
}

// speaksOfCylinder tells whether a word or phrase is or holds one for a cylinder:
// "my tank".
func (m *message) speaksOfCylinder(t token) bool {
	if t.role == labelled {
		return true
	}
	text := lowerCase(t.text)
	if !m.words.han {
		return slices.ContainsFunc(strings.Fields(text), func(w string) bool { return m.words.words[w] == labelled })
	}
	for w, r := range m.words.words {
		if r == labelled && len([]rune(w)) > 1 && strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// hasNumber tells whether the message has any number, a label among them.
func (m *message) hasNumber() bool {
	return slices.ContainsFunc(m.toks, func(t token) bool {
		return t.kind != kWord && t.kind != kEmoji &&
			!t.kind.separates()
	})
}
