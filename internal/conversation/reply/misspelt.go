package reply

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// Words with a slip of the finger: "anlaysed", "gemesen", "cylnder". A wet thumb
// swaps letters, doubles them or leaves one out, a foreigner writes i for y. Only
// the words of an instrument, of oxygen and of cylinders are known in such a
// form, and neutral ones with two letters swapped; and only when no other word is
// as near: they may be nothing else.

// leastMisspelt is how many letters such a word has at least; leastShort how
// many one has that a letter may be missing of.
const (
	leastMisspelt = 6
	leastShort    = 7
)

// spelling is what a word has in common with its misspelt forms: its first
// letter and all others in one order, those that follow themselves once.
func spelling(w string) string {
	letters := plainLetters(w, leastMisspelt)
	if letters != nil {
		slices.Sort(letters[1:])
	}
	return string(letters)
}

// plainLetters are the letters of a word of at least that many, those that sound
// alike as one.
func plainLetters(w string, least int) []rune {
	w = accentless(w)
	if utf8.RuneCountInString(w) < least || !isLetters(w) {
		return nil
	}
	return slices.Compact([]rune(sameSound.Replace(w)))
}

// shortened are the forms of a word with one letter left out, but the first.
func shortened(w string) []string {
	letters := plainLetters(w, leastShort)
	if len(letters) < leastShort {
		return nil
	}
	var all []string
	for i := 1; i < len(letters); i++ {
		all = append(all, string(slices.Delete(slices.Clone(letters), i, i+1)))
	}
	return all
}

// sameSound are letters that are written one for another.
var sameSound = strings.NewReplacer("y", "i", "z", "s", "ß", "s", "k", "c", "ph", "f")

func isLetters(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return (r < 'a' || r > 'z') && r != 'ß' })
}

// addSpellings notes the words that are known misspelt, when all is added.
func (v *vocabulary) addSpellings() {
	for w, r := range v.words {
		if !ofInstrument[r] {
			continue
		}
		if s := spelling(w); len(s) >= leastMisspelt {
			v.spellings[s] = r
		}
		for _, s := range shortened(w) {
			v.short[s] = r
		}
	}
	for w, r := range v.words { // what may be another word is not known
		if ofInstrument[r] {
			continue
		}
		delete(v.spellings, spelling(w))
		delete(v.short, string(plainLetters(w, leastMisspelt)))
		for _, s := range shortened(w) {
			delete(v.short, s)
		}
	}
}

// ofInstrument are the roles of words that are known misspelt.
var ofInstrument = map[role]bool{measured: true, percent: true, analyser: true, labelled: true}

// misspelt gives unknown words the role of the word that they are a slip of.
func misspelt(toks []token, v *vocabulary) {
	for i := range toks {
		w := lowerCase(toks[i].text)
		if toks[i].kind != kWord || toks[i].role != unknownWord || v.knows(w) {
			continue
		}
		if r := v.drawnOut(w); r != unknownWord {
			toks[i].role = r
			continue
		}
		if base, ok := strings.CutSuffix(w, "'s"); ok && ofInstrument[v.words[base]] {
			toks[i].role = v.words[base] // "the meter's giving me"
			continue
		}
		letters := plainLetters(w, leastMisspelt)
		if letters == nil {
			toks[i].role = v.swappedShort(w)
			continue
		}
		if toks[i].role = v.spellings[spelling(w)]; toks[i].role == unknownWord {
			toks[i].role = v.short[string(letters)]
		}
		if toks[i].role == unknownWord && v.swapped(w) {
			toks[i].role = neutral
		}
	}
}

// drawnOut is the role of a word with a letter typed three times or more: "thaaanks".
func (v *vocabulary) drawnOut(w string) role {
	letters := []rune(w)
	for _, most := range []int{1, 2} {
		var out []rune
		run, drawn := 0, false
		for i, r := range letters {
			if i > 0 && letters[i-1] == r {
				run++
			} else {
				run = 1
			}
			drawn = drawn || run > 2
			if run <= most {
				out = append(out, r)
			}
		}
		if r := v.words[string(out)]; drawn && r != unknownWord {
			return r
		}
	}
	return unknownWord
}

// swappedShort is the role of a short word of an instrument or a cylinder with two
// letters swapped: "tnak".
func (v *vocabulary) swappedShort(w string) role {
	letters := []rune(w)
	if len(letters) < 4 || !isLetters(w) {
		return unknownWord
	}
	found := unknownWord
	for i := 1; i+1 < len(letters); i++ {
		letters[i], letters[i+1] = letters[i+1], letters[i]
		if r, ok := v.words[string(letters)]; ok && !ofInstrument[r] {
			return unknownWord
		} else if ok {
			found = r
		}
		letters[i], letters[i+1] = letters[i+1], letters[i]
	}
	return found
}

// swapped tells whether a word is a neutral one with two letters swapped, and no
// other word.
func (v *vocabulary) swapped(w string) bool {
	letters, found := []rune(w), false
	for i := 1; i+1 < len(letters); i++ {
		letters[i], letters[i+1] = letters[i+1], letters[i]
		if r, ok := v.words[string(letters)]; ok && r != neutral {
			return false
		} else if ok {
			found = true
		}
		letters[i], letters[i+1] = letters[i+1], letters[i]
	}
	return found
}
