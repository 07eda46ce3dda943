package roster

import (
	"slices"
	"strings"
	"unicode"
)

// SameLabel tells whether two labels are what people would call the same: "B7" is
// "b 07". An empty label is the same as none.
func SameLabel(a, b string) bool { return a != "" && labelKey(a) == labelKey(b) }

// labelKey is what two labels have in common that people would call the same:
// neither case nor blanks, no number sign, no zeros that lead a number.
func labelKey(label string) string {
	if plainLabel(label) {
		return label
	}
	signs := slices.DeleteFunc([]rune(strings.ToLower(label)), func(r rune) bool { return unicode.IsSpace(r) || r == '#' })
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

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// plainLabel tells whether a label is its own key already, as most are.
func plainLabel(label string) bool {
	for i := range len(label) {
		c := label[i]
		leads := c == '0' && i+1 < len(label) && (i == 0 || !isDigit(rune(label[i-1])))
		if c <= ' ' || c >= 'A' && c <= 'Z' || c >= 0x7f || c == '#' || leads {
			return false
		}
	}
	return true
}
