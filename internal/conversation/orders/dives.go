package orders

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// "dive 2" and "all dives" in a leader's own words are read only where a command
// takes them, at the front: a site or a reason may well hold such a word. "dive 2" is
// read at the end too, of a dive that is ahead: a reason speaks of those behind.

// diveWords are those keywords, by the English word; a command takes some. "after"
// is read before a number only, see IsAfter.
var diveWords = []string{OneDive, AllDives, All, after}

// The English words that ForDives may put in the place of others.
const (
	after    = "after"
	OneDive  = "dive"
	AllDives = "all dives"
	All      = "all"
)

// diveForms find them at the front of a text, by language; the first group is a
// dive's number.
var diveForms = sync.OnceValue(func() map[string]map[string][]*regexp.Regexp {
	forms := map[string]map[string][]*regexp.Regexp{}
	for english, languages := range keywordTables() {
		if !slices.Contains(diveWords, english) {
			continue
		}
		for tag, phrases := range languages {
			if forms[tag] == nil {
				forms[tag] = map[string][]*regexp.Regexp{}
			}
			for _, p := range longestFirst(phrases) {
				forms[tag][english] = append(forms[tag][english], diveForm(p))
			}
		}
	}
	return forms
})

func longestFirst(phrases []string) []string {
	return slices.SortedFunc(slices.Values(phrases), func(a, b string) int { return len(b) - len(a) })
}

// lastForms find "dive 2" at the end of a text, by language; the first group is the
// number.
var lastForms = sync.OnceValue(func() map[string][]*regexp.Regexp {
	forms := map[string][]*regexp.Regexp{}
	for tag, phrases := range keywordTables()[OneDive] {
		for _, p := range phrases {
			before := `(?:^|[\s,;.:()]+)`
			if unspaced.MatchString(p) {
				before = `[\s,;:、，；：]*`
			}
			form := strings.ReplaceAll(regexp.QuoteMeta(p), "N", `\s*(\d{1,3})\s*`)
			forms[tag] = append(forms[tag], regexp.MustCompile(`(?i)`+before+strings.ReplaceAll(form, " ", `\s+`)+`[\s.)]*$`))
		}
	}
	return forms
})

// LastDive takes "dive 2" off the end, of a dive that is open; 0 when none stands there. What is said after a dive is
// a reason.
func LastDive(text, language string, open func(dive int) bool) (dive int, rest string) {
	plain := reply.PlainDigits(text)
	for _, tag := range []string{message.Match(language), "en"} {
		for _, form := range lastForms()[tag] {
			m := form.FindStringSubmatchIndex(plain)
			if m == nil {
				continue
			}
			n, err := strconv.Atoi(plain[m[2]:m[3]])
			rest = plain[:m[0]]
			if err == nil && open(n) && !endsWithOne(rest, keywordTables()[after][tag]) {
				return n, rest
			}
		}
	}
	return 0, text
}

// endsWithOne tells whether the last word of a text is one of words.
func endsWithOne(text string, words []string) bool {
	all := strings.Fields(strings.ToLower(text))
	return len(all) > 0 && slices.Contains(words, all[len(all)-1])
}

// diveForm is a phrase at the front of a text, with N for a dive's number. Where
// it ends with a letter no other may follow, but in scripts without blanks.
func diveForm(phrase string) *regexp.Regexp {
	form := strings.ReplaceAll(regexp.QuoteMeta(phrase), "N", `\s*(\d{1,3})\s*`)
	form = strings.ReplaceAll(form, " ", `\s+`)
	end := `(?:[\s,;.:]+|$)`
	if unspaced.MatchString(phrase) {
		end = `[\s、，；：]*`
	}
	return regexp.MustCompile(`(?i)^\s*` + form + end)
}

var unspaced = regexp.MustCompile(`[\p{Han}\p{Katakana}\p{Hiragana}]`)

// ForDives puts the English ("dive 2", "all") in the place of the words of a
// language at the front of what was typed, for those words that are taken.
func ForDives(text, language string, taken ...string) string {
	plain := reply.PlainDigits(text)
	for _, tag := range []string{message.Match(language), "en"} {
		for _, word := range taken {
			for _, form := range diveForms()[tag][word] {
				if m := form.FindStringSubmatchIndex(plain); m != nil {
					return strings.TrimSpace(diveWord(word, plain, m) + " " + plain[m[1]:])
				}
			}
		}
	}
	return text
}

func diveWord(word, text string, found []int) string {
	if word == OneDive {
		return word + " " + text[found[2]:found[3]]
	}
	return All
}

// DiveTyped is the number of a dive when nothing but that was typed: "2", "dive 2".
func DiveTyped(args, language string) (dive int, ok bool) {
	bare := strings.TrimSpace(reply.PlainDigits(args))
	n, err := strconv.Atoi(strings.TrimPrefix(ForDives(bare, language, OneDive), "dive "))
	return n, err == nil
}

// IsAfter tells whether a word opens a surface interval in a language, BCP 47.
func IsAfter(word, language string) bool {
	word = strings.ToLower(word)
	return slices.Contains(Phrases(after, language), word) || slices.Contains(Phrases(after, "en"), word)
}

// AfterWord is the word of a language that opens a surface interval.
func AfterWord(language string) string {
	return append(slices.Clone(Phrases(after, language)), after)[0]
}
