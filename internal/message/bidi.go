package message

import "strings"

// In a text written from right to left, numbers, units, commands and names in
// Latin letters keep their own direction: "33 m" would else be shown as
// "m 33", and "/board" as "board/". Unicode's isolates (UAX 9) say so.

const (
	isolateFirst = '\u2068' // the direction of the first letter inside
	isolateLeft  = '\u2066'
	isolateEnd   = '\u2069'
)

// isolated puts a value into isolates of its own.
func isolated(s string) string {
	if s == "" || strings.HasPrefix(s, string(isolateFirst)) && strings.Count(s, string(isolateEnd)) == 1 &&
		strings.HasSuffix(s, string(isolateEnd)) {
		return s
	}
	return string(isolateFirst) + s + string(isolateEnd)
}

// isolateLatin puts each run of Latin letters and digits that the text itself
// has, outside of values, into isolates: commands, MOD, examples of readings.
func isolateLatin(s string) string {
	var b strings.Builder
	depth := 0
	runes := []rune(s)
	for i := 0; i < len(runes); {
		end := latinRun(runes, i)
		switch {
		case depth == 0 && end > i:
			b.WriteRune(isolateLeft)
			b.WriteString(string(runes[i:end]))
			b.WriteRune(isolateEnd)
			i = end
			continue
		case runes[i] == isolateFirst || runes[i] == isolateLeft:
			depth++
		case runes[i] == isolateEnd:
			depth--
		}
		b.WriteRune(runes[i])
		i++
	}
	return b.String()
}

// latinRun is the end of a run that begins at i: Latin letters and digits, with
// a sign before or after and single blanks and signs between.
func latinRun(s []rune, i int) int {
	j := i
	if strings.ContainsRune("/+-", s[j]) {
		j++
	}
	if j >= len(s) || !latin(s[j]) {
		return i
	}
	for j < len(s) {
		switch {
		case latin(s[j]):
			j++
		case s[j] == '%':
			return j + 1
		case j+1 < len(s) && strings.ContainsRune(" .:/-'_", s[j]) && (latin(s[j+1]) || s[j+1] == '%'):
			j++
		case j+2 < len(s) && strings.ContainsRune(":,;", s[j]) && s[j+1] == ' ' && latin(s[j+2]):
			j += 2
		default:
			return j
		}
	}
	return j
}

func latin(r rune) bool {
	return r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= 'À' && r <= 'ɏ'
}
