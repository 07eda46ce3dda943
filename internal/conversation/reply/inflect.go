package reply

import "strings"

// inflect takes the other forms of words in by the endings of a language,
// "é: ée, és, ées": of verbs of an instrument and of using one. A form that is
// another word already stays that.
func (v *vocabulary) inflect(rules []string) {
	forms := map[string]role{}
	for _, rule := range rules {
		ending, others, _ := strings.Cut(rule, ":")
		for w, r := range v.words {
			stem, ok := strings.CutSuffix(w, lowerCase(ending))
			if !ok || stem == "" || !inflected[r] {
				continue
			}
			for o := range strings.SplitSeq(others, ",") {
				forms[stem+lowerCase(strings.TrimSpace(o))] = r
			}
		}
	}
	for w, r := range forms {
		if !v.knows(w) {
			v.words[w] = r
		}
	}
}

// inflected are the roles of words that are known in all their forms.
var inflected = map[role]bool{measured: true, using: true}
