package reply

import "strings"

// unmadeFile is what tells the words that deny an analysis, "not measured", from others
// that put one off, "in five minutes". Said of a cylinder that has a reading they deny it.
type unmadeFile struct {
	Denies []string `toml:"denies"` // "not"
	Done   []string `toml:"done"`   // "measured": forms of what was done, none of what will be
	Whole  []string `toml:"whole"`  // phrases that are known as wholes
	Except []string `toml:"except"` // what no such phrase has: "analizador" is none of what was done
}

// addUnmade notes which of the words for later deny. Their parts are looked for in the
// whole phrase, as not every language puts blanks between words.
func (v *vocabulary) addUnmade(f unmadeFile) {
	addAll(v.unmade, f.Whole, v)
	for w, r := range v.words {
		if (r == saidNotYet || r == will) && containsAny(w, f.Denies) && containsAny(w, f.Done) &&
			!containsAny(w, f.Except) {
			v.unmade[w] = true
		}
	}
}

func containsAny(w string, parts []string) bool {
	for _, p := range parts {
		if strings.Contains(w, lowerCase(fold(p))) {
			return true
		}
	}
	return false
}
