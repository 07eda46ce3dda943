package orders

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// The few words that leaders type with a command ("bottom 40 metres", "team",
// "off") are read in the leader's own language by putting the English ones in
// their place. A reason stays as it was typed.

//go:embed keywords.toml
var keywordsFile string

// keyword is a phrase of one language and the English word that it stands for.
type keyword struct {
	words   []string // lower case
	english string
}

// keywords are those of each language, the longest first. English that reads
// nothing else is among them, so that a reason ends the reading in all.
var keywords = sync.OnceValue(func() map[string][]keyword {
	all := map[string][]keyword{}
	for english, languages := range keywordTables() {
		if slices.Contains(diveWords, english) {
			continue // see forDives
		}
		for tag, phrases := range languages {
			for _, p := range phrases {
				all[tag] = append(all[tag], keyword{strings.Fields(strings.ToLower(p)), english})
			}
		}
	}
	for _, list := range all {
		slices.SortFunc(list, func(a, b keyword) int {
			if d := len(strings.Join(b.words, " ")) - len(strings.Join(a.words, " ")); d != 0 {
				return d
			}
			return strings.Compare(a.words[0], b.words[0])
		})
	}
	return all
})

// keywordTables are the phrases of each language, by the English word. They are not
// written to.
var keywordTables = sync.OnceValue(func() map[string]map[string][]string {
	var file map[string]map[string][]string
	if err := toml.Unmarshal([]byte(keywordsFile), &file); err != nil {
		panic(err) // embedded: a test reads it
	}
	return file
})

// Phrases are how a language, BCP 47, says an English keyword; N stands for a number.
func Phrases(english, language string) []string {
	return keywordTables()[english][message.Match(language)]
}

// English is what was typed with the words of its language, BCP 47, replaced by
// the English ones, up to a reason.
func English(text, language string) string {
	list := keywords()[message.Match(language)]
	if len(list) == 0 {
		return text
	}
	words := strings.Fields(apart(reply.PlainDigits(text), list))
	var out []string
	for i := 0; i < len(words); {
		n, english := keywordAt(words[i:], list)
		if n == 0 {
			out = append(out, unglued(words[i], list))
			i++
			continue
		}
		out = append(out, english)
		i += n
		if english == "because" {
			return strings.Join(append(out, words[i:]...), " ")
		}
	}
	return strings.Join(out, " ")
}

// keywordAt is how many words at the front are a keyword, and which.
func keywordAt(words []string, list []keyword) (n int, english string) {
	for _, k := range list {
		if len(k.words) > len(words) {
			continue
		}
		same := true
		for i, w := range k.words {
			same = same && strings.Trim(strings.ToLower(words[i]), ",;.:") == w // #nosec G602 -- there are as many words, see above
		}
		if same {
			return len(k.words), k.english
		}
	}
	return 0, ""
}

// apart puts blanks around the keywords of scripts that have none between
// words.
func apart(text string, list []keyword) string {
	for i := 0; i < len(text); {
		n := unspacedAt(text[i:], list)
		if n == 0 {
			_, n = utf8.DecodeRuneInString(text[i:])
			i += n
			continue
		}
		text = text[:i] + " " + text[i:i+n] + " " + text[i+n:]
		i += n + 2
	}
	return text
}

func unspacedAt(text string, list []keyword) int {
	for _, k := range list {
		if r, _ := utf8.DecodeRuneInString(k.words[0]); unicode.In(r, unicode.Han, unicode.Katakana) &&
			strings.HasPrefix(text, k.words[0]) {
			return len(k.words[0])
		}
	}
	return 0
}

// unglued is a word with a unit right after its number: "20metros".
func unglued(word string, list []keyword) string {
	i := strings.LastIndexAny(word, "0123456789") + 1
	if i == 0 || i == len(word) {
		return word
	}
	if n, english := keywordAt([]string{word[i:]}, list); n == 1 {
		return word[:i] + english
	}
	return word
}
