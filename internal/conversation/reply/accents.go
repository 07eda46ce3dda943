package reply

import (
	"maps"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Words as they are typed by who has no key for an accent.

// withoutAccents lets words be typed without their accents, where that is no
// other word: phones make them hard to reach.
func (v *vocabulary) withoutAccents() {
	fillMap(v.words, plainly(v.words, accentless))
	fillMap(v.words, plainly(v.words, bareLetters)) // "stabilisé a"
	fillMap(v.numbers, plainly(v.numbers, accentless))
	fillMap(v.ordinals, plainly(v.ordinals, accentless))
	fillMap(v.nths, plainly(v.nths, accentless))
	fillMap(v.dives, plainly(v.dives, accentless))
	fillMap(v.alarms, plainly(v.alarms, accentless))
	v.torn = append(v.torn, plainlyTorn(v.torn)...)
	fillMap(v.units, plainly(v.units, accentless))
	fillMap(v.questions, plainly(v.questions, accentless))
	fillMap(v.point, plainly(v.point, accentless))
}

// plainly are words without their accents, but for those that could be two words of
// different meaning: "arrive a" is "arrive à" or "arrivé à".
func plainly[V comparable](from map[string]V, bare func(string) string) map[string]V {
	out, unclear := map[string]V{}, map[string]bool{}
	for w, x := range from {
		p := bare(w)
		if p == w {
			continue
		}
		if other, twice := out[p]; twice && other != x {
			unclear[p] = true
		}
		out[p] = x
	}
	maps.DeleteFunc(out, func(p string, _ V) bool { return unclear[p] })
	return out
}

// bareLetters is s with the words of one letter bare: "stabilisé à" as it is typed by
// who has a key for é and none for à.
func bareLetters(s string) string {
	words := strings.Fields(s)
	for i, w := range words {
		if len(words) > 1 && utf8.RuneCountInString(w) == 1 {
			words[i] = accentless(w)
		}
	}
	return strings.Join(words, " ")
}

// accentless is s with its Latin letters bare.
func accentless(s string) string {
	if !strings.ContainsFunc(s, mayHaveAccent) {
		return s
	}
	return norm.NFC.String(strings.Map(func(r rune) rune {
		if r >= 0x300 && r <= 0x36f {
			return dropped
		}
		return r
	}, norm.NFD.String(s)))
}

// mayHaveAccent is true of what is, or holds, one of the marks of Latin, Greek and
// Cyrillic letters.
func mayHaveAccent(r rune) bool {
	const latin, hebrew, latinMore, punctuation = 0xc0, 0x590, 0x1e00, 0x2000
	return r >= latin && r < hebrew || r >= latinMore && r < punctuation
}
