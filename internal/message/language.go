package message

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
)

// completeLanguages are the languages that people are offered. A catalogue
// that isn't named here may still have holes: it is read, and nobody sees it.
// The order is that of the choice that /language shows.
var completeLanguages = []string{"en", "es", "fr", "de", "it", "pt", "nl", "ja", "zh", "ar"}

// reviewedLanguages are those whose texts a practitioner has read. Any other
// says at first contact that it is a machine's, and keeps the English verdict
// word beside its own.
var reviewedLanguages = []string{"en"}

// Languages are the languages that can be chosen, as BCP 47 tags; English is
// the first.
func Languages() []string { return slices.Clone(completeLanguages) }

// Reviewed tells whether a practitioner has read the texts that a reader of
// this language gets.
func Reviewed(tag string) bool { return slices.Contains(reviewedLanguages, Match(tag)) }

// Match is the offered language that suits the first of these tags that any
// suits: what a phone or a person says ("pt-br", "zh-Hant-TW"). It is "en" when
// none does.
func Match(tags ...string) string {
	for _, s := range tags {
		if found := match(s, completeLanguages); found != "" {
			return found
		}
	}
	return "en"
}

// MatchHeader is Match of an Accept-Language header (RFC 9110, 12.5.4); "" when
// it names no language that is offered.
func MatchHeader(header string) string {
	tags, quality, err := language.ParseAcceptLanguage(header)
	if err != nil {
		return ""
	}
	for i, t := range tags {
		if found := match(t.String(), completeLanguages); found != "" && quality[i] > 0 {
			return found
		}
	}
	return ""
}

// match is the one of the offered languages that suits a tag, or "".
func match(tag string, offered []string) string {
	if slices.Contains(offered, tag) {
		return tag
	}
	want, err := language.Parse(tag)
	if err != nil || want == language.Und {
		return ""
	}
	base, sure := want.Base()
	if sure == language.No {
		return ""
	}
	if base.String() == "zh" && slices.Contains(offered, "zh") {
		return "zh" // whoever reads the traditional script reads this rather than English
	}
	tags := make([]language.Tag, len(offered))
	for i, o := range offered {
		tags[i] = language.Make(o)
	}
	_, i, confidence := language.NewMatcher(tags).Match(want)
	if confidence < language.High {
		return ""
	}
	return offered[i]
}

// OwnName is what a language is called by those who speak it, as a value.
func OwnName(tag string) Value {
	name := display.Self.Name(language.Make(tag))
	first, n := utf8.DecodeRuneInString(name)
	return Name(string(unicode.ToTitle(first)) + name[n:])
}

// Direction is how a language is written: "ltr" or "rtl", as HTML names it.
func Direction(tag string) string {
	if rtl(Match(tag)) {
		return "rtl"
	}
	return "ltr"
}

func rtl(tag string) bool {
	script, _ := language.Make(tag).Script()
	switch script.String() {
	case "Arab", "Hebr", "Thaa", "Syrc", "Nkoo", "Adlm":
		return true
	}
	return false
}

// LanguageNamed is the offered language that somebody names: by its tag, its
// own name, or its name in English or in another offered language; "" when it
// is none.
func LanguageNamed(text string) string {
	text = strings.TrimSpace(text)
	for _, tag := range completeLanguages {
		for _, in := range completeLanguages {
			if name := display.Languages(language.Make(in)).Name(language.Make(tag)); strings.EqualFold(name, text) {
				return tag
			}
		}
		if strings.EqualFold(display.Self.Name(language.Make(tag)), text) {
			return tag
		}
	}
	if len(text) > 3 && !strings.ContainsAny(text, "-_") {
		return ""
	}
	return match(text, completeLanguages)
}
