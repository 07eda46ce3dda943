package papers

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"gasmuster/internal/lettering"
)

// ink is text as it is drawn: composed, with the verdicts' signs as plain
// shapes, and a box for what no font has. No broken UTF-8 reaches a page, on
// which the PDF library panics, as of v0.12.
func ink(s string) string {
	text, _ := inked(s)
	return text
}

// inked is the same, and whether a box stands in it for something.
func inked(s string) (text string, lacking bool) {
	var b strings.Builder
	for _, r := range norm.NFC.String(strings.ToValidUTF8(s, string(utf8.RuneError))) {
		switch sign := symbol(r); {
		case sign != 0:
			b.WriteRune(sign)
		case r == '\n' || r == '\u00a0':
			b.WriteRune(r)
		case r == '\t' || r == '\u202f':
			b.WriteRune(' ')
		case r < ' ' || r == utf8.RuneError:
			b.WriteRune(unknown)
			lacking = true
		default:
			b.WriteRune(r)
		}
	}
	text = b.String()
	for _, r := range lettering.Missing(text) {
		text, lacking = strings.ReplaceAll(text, string(r), string(unknown)), true
	}
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }), " "), lacking
}

// unknown stands for a character that no font has.
const unknown = '□'

// symbol stands for one of the verdicts; 0 when r is none.
func symbol(r rune) rune {
	switch r {
	case '✅':
		return '●'
	case '⚠':
		return '▲'
	case '⛔':
		return '■'
	case '❓':
		return '○'
	case '▢':
		return '□'
	}
	return 0
}
