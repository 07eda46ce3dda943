package roster

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/width"
)

// SameLabel tells whether two labels are what people would call the same: "B7" is
// "b 07". An empty label is the same as none.
func SameLabel(a, b string) bool { return a != "" && labelKey(a) == labelKey(b) }

// labelKey is what two labels have in common that people would call the same:
// neither case nor blanks, no number sign, no zeros that lead a number, digits of
// whatever script and width, no signs before or after.
func labelKey(label string) string {
	if plainLabel(label) {
		return label
	}
	folded := strings.Map(asciiDigit, strings.ToLower(width.Fold.String(label)))
	folded = strings.TrimFunc(folded, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if folded == "" { // signs and nothing else
		folded = label
	}
	signs := slices.DeleteFunc([]rune(folded), func(r rune) bool { return unicode.IsSpace(r) || r == '#' })
	key := make([]rune, 0, len(signs))
	for i, r := range signs {
		inNumber := len(key) > 0 && isDigit(key[len(key)-1])
		if r == '0' && !inNumber && i+1 < len(signs) && isDigit(signs[i+1]) {
			continue
		}
		key = append(key, r)
	}
	return string(key)
}

// asciiDigit is a digit of any script as we write it; other signs stay.
func asciiDigit(r rune) rune {
	if r < 0x80 || !unicode.Is(unicode.Nd, r) {
		return r
	}
	for zero := r; ; zero-- { // the digits of a script follow each other
		if !unicode.Is(unicode.Nd, zero-1) || r-zero == 9 {
			return '0' + r - zero
		}
	}
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// plainLabel tells whether a label is its own key already, as most are.
func plainLabel(label string) bool {
	for i := range len(label) {
		c := label[i]
		leads := c == '0' && i+1 < len(label) && (i == 0 || !isDigit(rune(label[i-1])))
		edge := (i == 0 || i == len(label)-1) && !isDigit(rune(c)) && (c < 'a' || c > 'z')
		if c <= ' ' || c >= 'A' && c <= 'Z' || c >= 0x7f || c == '#' || leads || edge {
			return false
		}
	}
	return true
}
