package reply

import (
	"strconv"
	"strings"
)

// Numbers in words.

// spokenNumber reads tens and units, then "point" and digits. Both parts may
// be typed in digits ("32 point 4").
func spokenNumber(toks []token, v *vocabulary) (int, token) {
	n, whole := spokenWhole(toks, v)
	if n == 0 {
		return 0, token{}
	}
	t := token{kind: kNumber, text: strconv.Itoa(whole), value: float64(whole), inWords: toks[0].kind == kWord,
		glued: toks[0].glued, pos: toks[0].pos}
	m, digits := spokenDigits(toks, n, v)
	if digits == "" {
		m, digits = weakDigit(toks, n, v)
		t.weak = digits != ""
	}
	switch {
	case digits != "":
		t.text += "." + digits
		t.value, t.decimals = parseNumber(t.text), len(digits)
		if isClock(toks[n], t) {
			t.kind = kCompound
		}
		return m, t
	case toks[0].kind == kNumber, toks[0].role != unknownWord && n == 1:
		return 0, token{} // a plain number stays as it was typed
	}
	return n, t
}

// isClock tells whether 20点30 is a time of day.
func isClock(point, t token) bool {
	return strings.Contains(hanPoints, lowerCase(point.text)) && t.decimals == 2 && t.value < 24
}

// spokenDigits are the digits after the word for the decimal sign.
func spokenDigits(toks []token, n int, v *vocabulary) (end int, digits string) {
	if n >= len(toks) || toks[n].kind != kWord || !v.point[lowerCase(toks[n].text)] {
		return n, ""
	}
	for end = n + 1; end < len(toks); end++ {
		d, ok := digitOf(toks[end], v)
		if !ok {
			break
		}
		digits += d
	}
	return end, digits
}

// weakDigit is the one digit after a word that joins other things as well:
// "trentadue e quattro". Both must be in words, the first a percentage and the
// second none, and no number may follow.
func weakDigit(toks []token, n int, v *vocabulary) (end int, digit string) {
	if n+1 >= len(toks) || toks[0].kind != kWord || !v.weakPoint[lowerCase(toks[n].text)] {
		return n, ""
	}
	if whole, _ := strconv.Atoi(spokenText(toks, v)); !wholePlausible(float64(whole)) {
		return n, ""
	}
	d, ok := v.numbers[lowerCase(toks[n+1].text)]
	if !ok || toks[n+1].kind != kWord || d > 9 {
		return n, ""
	}
	if n+2 < len(toks) {
		if more, _ := spokenWhole(toks[n+2:], v); more > 0 {
			return n, ""
		}
	}
	return n + 2, strconv.Itoa(d)
}

func spokenText(toks []token, v *vocabulary) string {
	_, whole := spokenWhole(toks, v)
	return strconv.Itoa(whole)
}

// spokenWhole is a whole number: typed, one phrase of the vocabulary
// ("treinta y dos"), or tens and units ("thirty two").
func spokenWhole(toks []token, v *vocabulary) (n, value int) {
	if toks[0].kind == kNumber && toks[0].whole() && toks[0].unit == noUnit && toks[0].value < 1000 {
		return 1, int(toks[0].value)
	}
	if n, value = spokenPhrase(toks, v); n > 1 {
		return n, value
	}
	first, ok := numberWord(toks[0], v)
	if !ok {
		return 0, 0
	}
	next := 1
	if len(toks) > 2 && toks[1].kind == kDash && toks[1].glued {
		next = 2
	}
	if first >= 20 && first%10 == 0 && len(toks) > next && !v.tensLast[lowerCase(toks[0].text)] {
		if second, ok := numberWord(toks[next], v); ok && second > 0 && second < 10 {
			return next + 1, first + second
		}
	}
	return 1, first
}

// spokenPhrase is the longest number of several words; a hyphen is as good as
// a blank.
func spokenPhrase(toks []token, v *vocabulary) (n, value int) {
	var b strings.Builder
	words := 0
	for i := 0; i < len(toks) && words < v.spoken; i++ {
		switch {
		case toks[i].kind == kDash && toks[i].glued && i > 0:
			continue
		case toks[i].kind != kWord:
			return n, value
		}
		if words > 0 {
			b.WriteByte(' ')
		}
		words += 1 + strings.Count(toks[i].text, " ")
		b.WriteString(lowerCase(toks[i].text))
		if x, ok := v.numbers[b.String()]; ok && words > 1 {
			n, value = i+1, x
		}
	}
	return n, value
}

func numberWord(t token, v *vocabulary) (int, bool) {
	if t.kind != kWord {
		return 0, false
	}
	n, ok := v.numbers[lowerCase(t.text)]
	return n, ok && t.role == unknownWord
}

// digitOf is one digit after the decimal sign, where even a word that is
// mostly an article is a number ("Komma eins"); typed, it may be two.
func digitOf(t token, v *vocabulary) (string, bool) {
	if t.kind == kNumber && t.whole() && t.unit == noUnit && len(t.text) <= 2 {
		return t.text, true
	}
	n, ok := v.numbers[lowerCase(t.text)]
	return strconv.Itoa(n), ok && t.kind == kWord && n < 10
}
