package reply

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// Words with a slip of the finger: "anlaysed", "gemesen", "oxigneo". A wet thumb
// swaps letters and doubles them, a foreigner writes i for y. Only the words of
// an instrument and of oxygen are known in such a form, and only when no other
// word is nearer: they may be nothing else.

// leastMisspelt is how many letters such a word has at least.
const leastMisspelt = 6

// spelling is what a word has in common with its misspelt forms: its first
// letter and all others in one order, those that follow themselves once.
func spelling(w string) string {
	w = accentless(w)
	if utf8.RuneCountInString(w) < leastMisspelt || !isLetters(w) {
		return ""
	}
	letters := slices.Compact([]rune(sameSound.Replace(w)))
	slices.Sort(letters[1:])
	return string(letters)
}

// sameSound are letters that are written one for another.
var sameSound = strings.NewReplacer("y", "i", "z", "s", "ß", "s", "k", "c", "ph", "f")

func isLetters(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return r < 'a' || r > 'z' && r != 'ß' })
}

// addSpellings notes the words that are known misspelt, when all is added.
func (v *vocabulary) addSpellings() {
	for w, r := range v.words {
		if r != measured && r != percent && r != analyser {
			continue
		}
		if s := spelling(w); s != "" && len(s) >= leastMisspelt {
			v.spellings[s] = r
		}
	}
	for w, r := range v.words { // what may be another word is not known
		if s := spelling(w); s != "" && v.spellings[s] != r {
			delete(v.spellings, s)
		}
	}
}

// misspelt gives unknown words the role of the word that they are a slip of.
func misspelt(toks []token, v *vocabulary) {
	for i := range toks {
		t := &toks[i]
		if t.kind != kWord || t.role != unknownWord || v.knows(lowerCase(t.text)) {
			continue
		}
		if s := spelling(lowerCase(t.text)); s != "" {
			t.role = v.spellings[s]
		}
	}
}
