package reply

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
	"golang.org/x/text/width"
)

// fold writes text with plain digits and signs: digits of every script and
// full-width forms become ASCII, the decimal signs of other scripts a dot or
// comma, the many dashes, arrows and blanks one of each; invisible signs
// (joiners, direction marks, the frame of a keycap emoji) vanish. Letters stay.
func fold(text string) string {
	if isFolded(text) {
		return text
	}
	var b strings.Builder
	b.Grow(len(text))
	for _, r := range fullStops(norm.NFC.String(numero.Replace(text))) {
		if r = foldRune(r); r >= 0 {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// numero takes the dot out of the sign for "number", which is no full stop, and
// writes three dots as such.
var numero = strings.NewReplacer("n.º", "nº", "N.º", "Nº", "n.°", "n°", "N.°", "N°", "n.o ", "no ", "№", "no ", "……",
	" ... ", "…", "... ", "⋯", "... ")

// fullStops sets a blank behind each 。 that ends a sentence before a digit.
// Phones offer it for the decimal sign as well: 32。4, but not 32.4。6番は…
func fullStops(text string) string {
	if !strings.ContainsAny(text, "。｡") {
		return text
	}
	var b strings.Builder
	s := []rune(text)
	for i, r := range s {
		b.WriteRune(r)
		if (r == '。' || r == '｡') && endsSentence(s[:i], s[i+1:]) {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

func endsSentence(before, after []rune) bool {
	i := len(before) - 1
	for i >= 0 && unicode.Is(unicode.Nd, before[i]) {
		i--
	}
	j := 0
	for j < len(after) && unicode.Is(unicode.Nd, after[j]) {
		j++
	}
	decimals := i >= 0 && i < len(before)-1 && strings.ContainsRune(".,．，・点", before[i])
	counted := j > 0 && j < len(after) && strings.ContainsRune("番号號本瓶", after[j])
	return decimals || counted
}

// isFolded tells whether fold leaves a text as it is, as it does most of those
// in ASCII.
func isFolded(text string) bool {
	for i := range len(text) {
		if text[i] > unicode.MaxASCII || !foldsToItself[text[i]] {
			return false
		}
	}
	return true
}

// foldsToItself are the ASCII characters that stay.
var foldsToItself = func() (stays [unicode.MaxASCII + 1]bool) {
	for r := range rune(len(stays)) {
		stays[r] = foldRune(r) == r
	}
	return stays
}()

// PlainDigits is text with the digits of every script as 0 to 9.
func PlainDigits(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Nd, r) {
			return '0' + rune(digitValue(r)) // #nosec G115 -- 0 to 9
		}
		return r
	}, text)
}

const dropped rune = -1

func foldRune(r rune) rune {
	if s, ok := foldedSigns[r]; ok {
		return s
	}
	if r <= unicode.MaxASCII {
		return foldASCII(r)
	}
	switch form := width.LookupRune(r); {
	case form.Kind() == width.EastAsianFullwidth:
		return foldRune(form.Narrow())
	case form.Kind() == width.EastAsianHalfwidth && form.Wide() != 0: // ｱ
		return form.Wide()
	}
	switch {
	case r == '\u0640' || r >= '\u064b' && r <= '\u0652' || r == '\u0670': // Arabic vowel signs and the stretching stroke
		return dropped
	case unicode.Is(unicode.Nd, r):
		return '0' + rune(digitValue(r)) // #nosec G115 -- 0 to 9
	case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r), r == '\u20e3':
		return dropped
	case unicode.Is(unicode.Zs, r):
		return ' '
	case unicode.Is(unicode.Pd, r):
		return '-'
	}
	return r
}

func foldASCII(r rune) rune {
	switch {
	case r == '\n':
		return r
	case r == '\r':
		return '\n'
	case r < ' ':
		return ' '
	}
	return r
}

// digitValue is the value of a decimal digit of any script: Unicode encodes
// them in runs of ten from zero up, also where runs touch.
func digitValue(r rune) int {
	n := 0
	for unicode.Is(unicode.Nd, r-rune(n)-1) {
		n++
	}
	return n % 10
}

// foldedSigns are signs that mean one of ours. The Arabic thousands sign is
// folded to a comma, since phones offer it where a decimal sign is meant.
var foldedSigns = map[rune]rune{
	'٫': '.', '·': '.', '•': ' ', '∙': '.', '‧': '.', '。': '.', '｡': '.', '⋅': '.',
	'،': ',', '٬': ',', '、': ';', '､': ';', '؛': ';', '|': ';', '¦': ';',
	'₂': '2', // O₂
	'٪': '%', '﹪': '%', '％': '%',
	'→': '→', '➡': '→', '⇒': '→', '⟶': '→', '➔': '→', '➜': '→', '▶': '→',
	'：': ':', '∶': ':', '﹕': ':', '−': '-', '－': '-',
	'≈': '~', '∼': '~', '～': '~', '±': '~', '≤': '<', '≥': '>',
	'？': '?', '؟': '?', '¿': '?', '！': '!', '¡': '!', '’': '\'', '‘': '\'', 'ʼ': '\'', '′': '\'', '`': '\'', '´': '\'',
	'⁄': '/', '∕': '/', '“': ' ', '”': ' ', '"': ' ', '«': ' ', '»': ' ', '\u2028': '\n', '\u2029': '\n',
	'\ufeff': dropped, '\u00ad': dropped,
}

// lowerCase is s in lower case, rune by rune, so that places stay the same.
// Arabic letters that people type one for another become one.
func lowerCase(s string) string { return strings.Map(lowerRune, s) }

func lowerRune(r rune) rune {
	switch r {
	case 'أ', 'إ', 'آ', 'ٱ':
		return 'ا'
	case 'ى', 'ی':
		return 'ي'
	case 'ة':
		return 'ه'
	case 'ک':
		return 'ك'
	}
	return unicode.ToLower(r)
}
