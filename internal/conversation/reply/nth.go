package reply

import (
	"slices"
	"strconv"
	"strings"
)

// "The twelfth", "die 12er", "la 12ème": an ordinal that is one of the person's
// labels. Below five it may be the first try or the second dive, and is none.

// leastNth is the least number that is taken for a label as an ordinal.
const leastNth = 5

// nthFile is how a language makes ordinals of its numbers.
type nthFile struct {
	Tails    []string       `toml:"tails"`    // behind digits: "th" of 12th
	Patterns []string       `toml:"patterns"` // "{n}te": of any number
	Words    map[string]int `toml:"words"`    // the others
	Tens     []string       `toml:"tens"`     // "{tens} {unit}": tens and one of units
	Units    map[string]int `toml:"units"`
}

// addNths takes the ordinals in, after the numbers.
func (v *vocabulary) addNths(f nthFile) {
	addAll(v.nthTails, f.Tails, v)
	add := func(w string, n int) {
		if w = v.typed(w); n >= leastNth && !v.knows(w) {
			v.nths[w] = n
			for _, piece := range strings.Fields(w) {
				v.pieces[piece] = true // so that "and" is cut off before it
			}
			v.spoken = max(v.spoken, 1+strings.Count(w, " "))
		}
	}
	for w, n := range f.Words {
		add(w, n)
	}
	for number, n := range v.numbers {
		for _, p := range f.Patterns {
			add(strings.ReplaceAll(p, "{n}", number), n)
		}
		if n < 20 || n%10 != 0 {
			continue
		}
		for unit, u := range f.Units {
			for _, form := range f.Tens {
				add(strings.NewReplacer("{tens}", number, "{unit}", unit).Replace(form), n+u)
			}
		}
	}
}

// nthTail takes "th" behind digits.
func (l *lexer) nthTail(t *token, tail string) bool {
	if !l.words.nthTails[tail] || t.kind != kNumber || !t.whole() || t.value < leastNth {
		return false
	}
	t.nth = true
	return true
}

// nthWord is how many tokens an ordinal in words takes that begins here, and
// the number that it makes.
func nthWord(toks []token, v *vocabulary) (int, token) {
	for n := min(2*v.spoken, len(toks)); n > 0; n-- {
		part := toks[:n]
		if slices.ContainsFunc(part, func(t token) bool { return t.kind != kWord && !(t.kind == kDash && t.glued) }) {
			continue
		}
		if x, ok := v.nths[v.typed(joinText(part))]; ok {
			return n, token{kind: kNumber, text: strconv.Itoa(x), value: float64(x), inWords: true, nth: true,
				glued: toks[0].glued, pos: toks[0].pos}
		}
	}
	return 0, token{}
}

// nthLabel makes a label of an ordinal, or asks.
func (m *message) nthLabel(i int) {
	if name, known := m.known(m.toks[i]); known {
		m.label(i, name)
		return
	}
	m.doubt(i, LabelOrReading, 0)
}
