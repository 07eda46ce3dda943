package reply

import (
	"fmt"
	"slices"
	"strings"

	"gasmuster/internal/gas"
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
	families := []struct {
		role   role
		before []string
		words  []string
		behind []string
	}{
		{remark, nil, f.Bare, nil},
		{remark, f.Degrees, slices.Concat(f.Bare, f.Levels), nil},
		{apart, f.Degrees, f.Apart, nil},
		{apart, nil, f.Wishes, f.Than},
		{compared, f.Degrees, f.Wishes, nil},
		{than, nil, nil, f.Than},
	}
	empty := func(forms []string) bool { return len(forms) == 0 }
	for _, family := range families {
		parts := slices.DeleteFunc([][]string{family.before, family.words, family.behind}, empty)
		for _, w := range putTogether(parts, " ") {
			if err := v.addRemark(family.role, w); err != nil {
				return err
			}
		}
	}
	return nil
}

// addRemark takes a phrase in, also one that doubts as long as nothing is known of
// where it stands: "a bit over".
func (v *vocabulary) addRemark(r role, phrase string) error {
	w := v.typed(phrase)
	if w == "" {
		return nil
	}
	if was := v.words[w]; was == saidNotYet { // "tantito más": a bit more, or a moment more
		return nil
	} else if was != unknownWord && !doubts[was] && was != r {
		return fmt.Errorf("%q stands under %q and is a remark", w, was)
	}
	v.words[w] = r
	v.longest = max(v.longest, 1+strings.Count(w, " "))
	return nil
}

// doubts are the roles of phrases that a remark may have been until now.
var doubts = map[role]bool{doubtful: true, ordered: true, remark: true, apart: true, compared: true, than: true}

// remarks tells whether token i says of the gas that it is rich or lean, beside
// numbers with decimals. With an instrument beside it, it may be that which is off.
func (m *message) remarks(i int) bool {
	meter := m.clauseHas(i, func(t token) bool {
		return t.is == isMeter || t.role == using || m.anyWord(t, func(w string) bool { return m.words.words[w] == analyser })
	})
	beside := m.clauseHas(i, func(t token) bool { return t.is == isReading })
	vague := slices.ContainsFunc(m.found, func(f found) bool { return m.toks[f.tok].whole() })
	if r := m.toks[i].role; r == remark {
		return !meter && !(vague && beside) && !m.measuredAgainst(i)
	} else if meter || vague || r == than && !m.remarkAt(m.left(i)) || r == compared && !m.thanAt(m.right(i)) {
		return false
	}
	behind := m.left(i, apart, compared, than, remark)
	return !beside || m.readingAt(behind) && m.right(i, than) < 0 // "33.3 a bit over"
}

func (m *message) remarkAt(i int) bool { return i >= 0 && m.toks[i].plays(remark, apart, compared) }

func (m *message) thanAt(i int) bool { return i >= 0 && m.toks[i].role == than }

func (m *message) readingAt(i int) bool { return i >= 0 && m.toks[i].is == isReading }

// onlyThat tells whether token i finds a number less than was ordered: "only 29.8".
// Of any other number it may say that it is not the last.
func (m *message) onlyThat(i int) bool {
	n := m.right(i, measured, on, percent)
	joins := i > 0 && m.toks[i].role == but
	if !m.words.only[lowerCase(m.toks[i].text)] || !m.readingAt(n) || m.toks[n].decimals == 0 || joins {
		return false
	}
	less := func(a gas.Percent) bool { return gas.Percent(m.toks[n].value) < a }
	return len(m.ctx.Asked) > 0 && !slices.ContainsFunc(m.ctx.Asked, func(a gas.Percent) bool { return !less(a) })
}

// measuredAgainst tells whether a word leads from such a remark to a number: "a bit
// rich of 31.4" says that it is not that.
func (m *message) measuredAgainst(i int) bool {
	return i+1 < len(m.toks) && m.toks[i+1].kind == kWord && m.toks[i+1].plays(on, neutral, and) &&
		(m.readingAt(m.right(i)) || m.readingAt(m.right(i, on, and)))
}
