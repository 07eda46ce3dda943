package reply

import "strings"

// Chinese is typed in two scripts; the vocabulary lists one of them.

// addSimplified takes pairs of characters in.
func (v *vocabulary) addSimplified(pairs string) {
	all := []rune(strings.Join(strings.Fields(pairs), ""))
	for i := 0; i+1 < len(all); i += 2 {
		if v.simple == nil {
			v.simple = map[rune]rune{}
		}
		v.simple[all[i]] = all[i+1]
	}
}

// simplified is text in the script that the vocabulary lists.
func (v *vocabulary) simplified(text string) string {
	if v.simple == nil || isFolded(text) {
		return text
	}
	return strings.Map(func(r rune) rune {
		if s, ok := v.simple[r]; ok {
			return s
		}
		return r
	}, text)
}
