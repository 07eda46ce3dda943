package message

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/bidi"
)

// longestName is how many characters of a name or of quoted input are shown.
const longestName = 80

// longestText is how many characters are shown of what somebody wrote to be
// passed on: a reason, a shop's message.
const longestText = 1000

// cleanName makes what people typed safe to stand inside a sentence: one line,
// no controls and no invisible marks that could reorder or fake the words
// around it, and not too long. A text with right-to-left letters is isolated,
// so that the numbers after it stay where they are.
func cleanName(s string) string { return cleaned(s, longestName) }

func cleaned(s string, longest int) string {
	var b strings.Builder
	n, rtl := 0, false
	for _, r := range strings.Join(strings.Fields(s), " ") {
		if hidden(r) {
			continue
		}
		if n == longest {
			b.WriteRune('…')
			break
		}
		rtl = rtl || rightToLeft(r)
		b.WriteRune(r)
		n++
	}
	if rtl {
		return "\u2068" + b.String() + "\u2069"
	}
	return b.String()
}

// hidden tells whether r can't be seen by itself. The two joiners stay: they
// shape emoji and several scripts.
func hidden(r rune) bool {
	switch r {
	case '\u200c', '\u200d':
		return false
	case unicode.ReplacementChar:
		return false
	}
	return !unicode.IsPrint(r) && !unicode.IsMark(r)
}

func rightToLeft(r rune) bool {
	p, _ := bidi.LookupRune(r)
	return p.Class() == bidi.R || p.Class() == bidi.AL
}

// Clean is text as it may stand in a sentence: on one line, without hidden
// characters, at most 80 characters long. What Clean changes is no name.
func Clean(s string) string { return cleanName(s) }
