package reply

import (
	"fmt"
	"slices"
	"strings"
)

// What people say of a number that they have just read: that the gas is a bit
// rich, that it is only 29.8.

// remarkFile is how a language says that a gas is richer or leaner than it might be.
type remarkFile struct {
	Degrees []string `toml:"degrees"` // "a bit"
	Than    []string `toml:"than"`    // "than ordered"
	Bare    []string `toml:"bare"`    // "rich": also without a degree
	Levels  []string `toml:"levels"`  // "low": "low 32" is vague, "a bit low" is not
	Apart   []string `toml:"apart"`   // "over": "a bit over 32" is vague
	Wishes  []string `toml:"wishes"`  // "richer": a wish, but for "richer than ordered"
}

// addRemarks puts degrees, words and what they are set against together.
func (v *vocabulary) addRemarks(f remarkFile) error {
	degrees, than := append([]string{""}, f.Degrees...), append([]string{""}, f.Than...)
	for _, w := range slices.Concat(f.Bare, f.Levels, f.Apart, f.Wishes) {
		for _, d := range degrees {
			for _, t := range than {
				if err := v.addRemark(f.role(d, w, t), strings.Join([]string{d, w, t}, " ")); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// role is what such a phrase may be: beside a number, in a clause of its own, or nothing.
func (f remarkFile) role(degree, w, than string) role {
	switch bare := slices.Contains(f.Bare, w); {
	case than != "", degree != "" && slices.Contains(f.Apart, w):
		return apart
	case bare, degree != "" && slices.Contains(f.Levels, w):
		return remark
	}
	return unknownWord
}

// addRemark takes a phrase in, also one that doubts as long as nothing is known of
// where it stands: "a bit over".
func (v *vocabulary) addRemark(r role, phrase string) error {
	w := v.typed(phrase)
	if r == unknownWord || w == "" {
		return nil
	}
	if was := v.words[w]; was != unknownWord && was != doubtful && was != r {
		return fmt.Errorf("%q stands under %q and is a remark", w, was)
	}
	v.words[w] = r
	v.longest = max(v.longest, 1+strings.Count(w, " "))
	return nil
}

// remarks tells whether token i says of the gas that it is rich or lean, beside
// numbers with decimals. With an instrument beside it, it may be that which is off.
func (m *message) remarks(i int) bool {
	vague := slices.ContainsFunc(m.toks, func(t token) bool { return t.is == isReading && t.decimals == 0 && !t.percent })
	meter := m.clauseHas(i, func(t token) bool { return t.is == isMeter || t.plays(analyser, using) })
	beside := m.clauseHas(i, func(t token) bool { return t.is == isReading })
	switch {
	case m.measuredAgainst(i):
		return false
	case meter, vague && (beside || m.toks[i].role == apart):
		return false
	case m.toks[i].role == apart && beside:
		return m.readingAt(m.left(i)) && m.right(i) < 0 // "33.3 a bit over"
	}
	return true
}

func (m *message) readingAt(i int) bool { return i >= 0 && m.toks[i].is == isReading }

// onlyThat tells whether token i leads to a number with decimals, as in "only 29.8".
func (m *message) onlyThat(i int) bool {
	n := m.right(i, measured, on, percent)
	return m.readingAt(n) && m.toks[n].decimals > 0 && (m.toks[i].role != but || i == 0)
}

// measuredAgainst tells whether a word leads from such a remark to a number: "a bit
// rich of 31.4" says that it is not that.
func (m *message) measuredAgainst(i int) bool {
	return i+1 < len(m.toks) && m.toks[i+1].kind == kWord && m.toks[i+1].plays(on, neutral, and, but) &&
		(m.readingAt(m.right(i)) || m.readingAt(m.right(i, on, and, but)))
}
