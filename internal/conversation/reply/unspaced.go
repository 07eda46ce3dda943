package reply

import (
	"strconv"
	"strings"
	"unicode"
)

// Scripts that put no blanks between words: Han, kana. Words are cut off the
// front, the longest known one first; what begins no known word is a stranger
// until one begins.

func isUnspaced(r rune) bool {
	return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) || r == 'ー' || r == '々' || r == '〇'
}

// longestUnspaced is how many characters a known word has at most.
const longestUnspaced = 16

func (l *lexer) unspaced() {
	start := l.i
	if n := l.knownAt(start); n > 0 && n >= l.hanNumeral(start) {
		l.i += n
		l.emit(kWord, start)
		return
	}
	if n := l.hanNumeral(start); n > 0 {
		l.i += n
		l.hanNumber(start)
		return
	}
	for l.i++; isUnspaced(l.at(l.i)) && l.knownAt(l.i) == 0 && l.hanNumeral(l.i) == 0; {
		l.i++
	}
	l.emit(kWord, start)
}

// knownAt is how long the longest known word is that begins at i, 0 when none
// does.
func (l *lexer) knownAt(i int) int {
	end := i
	for (isUnspaced(l.at(end)) || isDigit(l.at(end)) && end > i) && end-i < longestUnspaced {
		end++
	}
	for ; end > i; end-- {
		w := string(l.lower[i:end])
		_, number := l.words.numbers[w]
		if number || l.words.words[w] != unknownWord || l.words.units[w] != noUnit || l.words.point[w] ||
			l.words.questions[w] {
			return end - i
		}
	}
	return 0
}

var hanDigits = map[rune]int{'〇': 0, '零': 0, '一': 1, '二': 2, '两': 2, '三': 3, '四': 4, '五': 5, '六': 6, '七': 7, '八': 8,
	'九': 9}

// hanTens are the signs for twenty and thirty.
var hanTens = strings.NewReplacer("廿", "二十", "卅", "三十")

const hanPoints = "点點"

// hanNumeral is how long a number in Han numerals is that begins at i. It
// begins with a digit or ten.
func (l *lexer) hanNumeral(i int) int {
	if !l.words.han {
		return 0
	}
	n := 0
	for {
		r := l.at(i + n)
		_, digit := hanDigits[r]
		_, next := hanDigits[l.at(i+n+1)]
		if !digit && !strings.ContainsRune("十廿卅", r) && (n == 0 || !strings.ContainsRune(hanPoints, r) || !next) {
			return n
		}
		n++
	}
}

// hanNumber emits 三十二点四 and 三二点四; what is no number of that form is a
// slip.
func (l *lexer) hanNumber(start int) {
	text := string(l.lower[start:l.i])
	whole, after, _ := strings.Cut(strings.ReplaceAll(text, "點", "点"), "点")
	n, ok := hanWhole(whole)
	digits, ok2 := hanRow(after)
	t := l.emit(kNumber, start)
	if !ok || !ok2 {
		t.kind = kBad
		return
	}
	t.text = strconv.Itoa(n)
	if digits != "" {
		t.text += "." + digits
	}
	t.value, t.decimals = parseNumber(t.text), len(digits)
	if len(digits) == 2 && n < 24 {
		t.kind = kCompound // 二十点三十 is a time of day; so may this be
	}
}

// hanWhole reads 三十二, 十, 二十 and the digits one by one, 三二.
func hanWhole(s string) (int, bool) {
	before, after, tens := strings.Cut(hanTens.Replace(s), "十")
	if !tens {
		row, ok := hanRow(s)
		n, err := strconv.Atoi(row)
		return n, ok && err == nil && len(row) <= 3
	}
	a, okA := hanRow(before)
	b, okB := hanRow(after)
	if !okA || !okB || len(a) > 1 || len(b) > 1 {
		return 0, false
	}
	n := 10
	if a != "" {
		n = 10 * int(a[0]-'0')
	}
	if b != "" {
		n += int(b[0] - '0')
	}
	return n, true
}

// hanRow is a row of single digits; "" is one.
func hanRow(s string) (string, bool) {
	var b strings.Builder
	for _, r := range s {
		d, ok := hanDigits[r]
		if !ok {
			return "", false
		}
		b.WriteByte('0' + byte(d)) // #nosec G115 -- 0 to 9
	}
	return b.String(), true
}
