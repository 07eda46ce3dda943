package message

import (
	"regexp"
	"strings"
	"sync"
	"unicode"
)

// Blanks and hyphens at which no line is broken, and a joiner for scripts that
// break lines between any two characters.
const (
	hardBlank  = "\u00a0"
	hardHyphen = "\u2011"
	joiner     = "\u2060"
)

var (
	valueAndUnit = regexp.MustCompile(`(\d) (%|(?:m|ft|min|ppm|°C|°F|bar|atm|h)(?:[^\p{Latin}]|$))`)
	maxAndValue  = regexp.MustCompile(`\b([Mm](?:AX|ax)\.?) (\d)`)
)

// wholePhrases are the catalogue's texts of which a part says the contrary: half
// of NO-GO says GO, and of NICHT TAUCHEN TAUCHEN.
var wholePhrases = []string{"verdict.no-go", "verdict.uncleared"}

// untorn replaces what must not be torn apart at the end of a line.
var untorn = sync.OnceValue(func() *strings.Replacer {
	pairs := []string{"NO-GO", "NO" + hardHyphen + "GO", "RE-PLAN", "RE" + hardHyphen + "PLAN"}
	for _, tag := range Languages() {
		w := New().writer(Reader{Language: tag})
		for _, key := range wholePhrases {
			for _, phrase := range phrasesOf(w.line(Say(key, nil))) {
				pairs = append(pairs, phrase, whole(phrase, tag))
			}
		}
	}
	for _, symbol := range []string{"✅", "⛔", "⚠️", "❓", "▢", "▫"} {
		pairs = append(pairs, symbol+" ", symbol+hardBlank)
	}
	return strings.NewReplacer(pairs...)
})

// phrasesOf are the phrases of a verdict between symbol, comma and bracket.
func phrasesOf(verdict string) []string {
	_, words, _ := strings.Cut(verdict, " ")
	return strings.FieldsFunc(strings.NewReplacer(", ", "\n", "、", "\n", "，", "\n", "، ", "\n", " (", "\n", ")",
		"").Replace(words),
		func(r rune) bool { return r == '\n' })
}

// whole is a phrase that stays on one line.
func whole(phrase, tag string) string {
	if (tag == "ja" || tag == "zh") && strings.ContainsFunc(phrase,
		func(r rune) bool { return unicode.Is(unicode.Han, r) }) {
		return strings.Join(strings.Split(phrase, ""), joiner)
	}
	return strings.NewReplacer(" ", hardBlank, "-", hardHyphen).Replace(phrase)
}

// Unbroken keeps on one line what belongs together: a value and its unit, NO-GO, a
// verdict's symbol and its word.
func Unbroken(text string) string {
	text = valueAndUnit.ReplaceAllString(text, "$1"+hardBlank+"$2")
	text = maxAndValue.ReplaceAllString(text, "$1"+hardBlank+"$2")
	return untorn().Replace(text)
}

// Shown is one line as people read it on a page or a button: as Line, with what
// belongs together on one line.
func (r *Renderer) Shown(l Line, to Reader) string { return Unbroken(r.Line(l, to)) }
