package reply

import (
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/gas"
)

// What the digits and the signs between them can be.
var (
	formWhole    = regexp.MustCompile(`^\d+$`)
	formDecimal  = regexp.MustCompile(`^\d+[.,]\d+$`)
	formFraction = regexp.MustCompile(`^[.,]\d+$`)
	formClock    = regexp.MustCompile(`^\d{1,2}:\d{2}(:\d{2})?$`)
	formLabelled = regexp.MustCompile(`^(\d+):(\d+(?:[.,]\d+)?)$`)
	formDashed   = regexp.MustCompile(`^(\d+(?:[.,]\d+)?)-(\d+(?:[.,]\d+)?)$`)
	formSlashed  = regexp.MustCompile(`^(\d+(?:[.,]\d+)?)/(\d+(?:[.,]\d+)?)$`)
	formListed   = regexp.MustCompile(`^\d+(\.\d+)?(,\d+(\.\d+)?)+$`)
	formDate     = regexp.MustCompile(`^(0?[1-9]|[12]\d|3[01])\.(0?[1-9]|1[0-2])\.(\d{2}|\d{4})$`)
	formHours    = regexp.MustCompile(`^h\d{2}$`)
	formPairs    = regexp.MustCompile(`^\d{1,3}[:-]\d+[.,]\d+(,\d{1,3}[:-]\d+[.,]\d+)+$`)
	formPair     = regexp.MustCompile(`\d+[:-]\d+[.,]\d+`)
	formRepeated = regexp.MustCompile(`[.,]{2,}`)
)

// number takes a run of digits with the signs between them.
func (l *lexer) number() {
	start := l.i
	l.i = l.runEnd()
	l.apostrophes(start)
	text := string(l.s[start:l.i])
	switch {
	case formWhole.MatchString(text) && len(text) >= 7:
		l.emit(kCompound, start)
	case formDecimal.MatchString(text) && strings.Contains(text, ",") && strings.ContainsRune("号番", l.at(l.i)):
		l.pair(start, strings.Index(text, ",")) // 测了32，17号
	case formWhole.MatchString(text), formDecimal.MatchString(text), formFraction.MatchString(text):
		l.value(start)
	case formClock.MatchString(text):
		l.emit(kCompound, start)
	case formLabelled.MatchString(text), formDashed.MatchString(text):
		l.pair(start, strings.IndexAny(text, ":-"))
	case formPairs.MatchString(text):
		l.pairs(start, text)
	case formSlashed.MatchString(text):
		l.slashed(start, text)
	case formListed.MatchString(text) && strings.Contains(text, "."):
		l.list(start, text)
	case strings.ContainsAny(text, "/:-"), formDate.MatchString(text):
		l.emit(kCompound, start)
	default:
		l.bad(start, text)
	}
	l.suffix()
}

// runEnd is the end of digits and of the signs that have a digit on their
// right: "32.4." ends before its last dot, "32..4" does not.
func (l *lexer) runEnd() int {
	i := l.i
	for {
		switch r := l.at(i); {
		case isDigit(r):
			i++
			continue
		case r == '.' || r == ',':
			j := i
			for l.at(j) == '.' || l.at(j) == ',' {
				j++
			}
			if isDigit(l.at(j)) {
				i = j
				continue
			}
		case (r == '/' || r == ':' || r == '-' || r == '\'') && i > l.i && isDigit(l.at(i+1)):
			i++
			continue
		}
		return i
	}
}

// value emits a plain number. 32,36 may also be two numbers.
func (l *lexer) value(start int) {
	text := string(l.s[start:l.i])
	t := l.emit(kNumber, start)
	before, after, cut := strings.Cut(strings.Replace(text, ",", ".", 1), ".")
	t.value = parseNumber(text)
	t.decimals = len(after)
	if !cut {
		return
	}
	if second := parseNumber(after); strings.Contains(text, ",") && len(after) == 2 && before != "" &&
		wholePlausible(second) {
		t.kind = kTwoWays
	}
}

func parseNumber(text string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return 0
	}
	return v
}

// pair emits "17:32.1" and "17-32.4" as number, sign, number.
func (l *lexer) pair(start, cut int) {
	end := l.i
	l.i = start + cut
	l.value(start)
	l.sign()
	l.i = end
	l.value(start + cut + 1)
}

// pairs emits "17:32.1,22:36.0", with no blank behind the comma that parts them.
func (l *lexer) pairs(start int, text string) {
	for n, at := range formPair.FindAllStringIndex(text, -1) {
		if n > 0 {
			l.i = start + at[0] - 1
			l.sign()
		}
		l.i = start + at[1]
		l.pair(start+at[0], strings.IndexAny(text[at[0]:], ":-"))
	}
}

// list emits "32.1,36.0": where dots are the decimal signs, commas list.
func (l *lexer) list(start int, text string) {
	for n, part := range strings.Split(text, ",") {
		if n > 0 {
			l.i = start
			l.sign()
			start++
		}
		l.i = start + len(part)
		l.value(start)
		start = l.i
	}
}

// apostrophes makes the decimal sign of 32'4 a dot.
func (l *lexer) apostrophes(start int) {
	for i := start + 2; i < l.i-1; i++ {
		if l.at(i) == '\'' && isDigit(l.at(i-1)) && isDigit(l.at(i-2)) {
			l.s[i], l.lower[i] = '.', '.'
		}
	}
}

// slashed is a label and its reading (17/32.1), a blend (32/68, trimix 21/35) or a date.
func (l *lexer) slashed(start int, text string) {
	a, b, _ := strings.Cut(text, "/")
	x, y := parseNumber(a), parseNumber(b)
	if !strings.ContainsAny(a, ".,") && strings.ContainsAny(b, ".,") {
		l.pair(start, len(a))
		l.toks[len(l.toks)-2].kind = kArrow
		return
	}
	t := l.emit(kBlend, start)
	t.value = x + y
	if x+y != 100 && (x < 8 || x > 50 || y > 90 || (x <= 31 && y <= 12)) {
		t.kind = kCompound
	}
}

// bad emits a number with a slip in it, and what it may have been meant to be.
func (l *lexer) bad(start int, text string) {
	t := l.emit(kBad, start)
	one := formRepeated.ReplaceAllString(strings.ReplaceAll(text, "'", "."), ".")
	if formDecimal.MatchString(one) {
		t.value = parseNumber(one)
	}
}

// suffix takes what hangs on a number: a unit, "1st", "32ish".
func (l *lexer) suffix() {
	if l.letterDecimal() || l.counted() || l.hanClock() {
		return
	}
	if !isLetter(l.at(l.i)) && !(l.at(l.i) == '\'' && !isDigit(l.at(l.i+1))) {
		return
	}
	t := &l.toks[len(l.toks)-1]
	start := l.i
	l.i++
	for isLetter(l.at(l.i)) || isDigit(l.at(l.i)) || (l.at(l.i) == '.' || l.at(l.i) == ',') && isDigit(l.at(l.i+1)) {
		l.i++
	}
	tail := string(l.lower[start:l.i])
	switch {
	case tail == "'s": // "26's at 35.6"
		l.emit(kWord, start).role = measured
	case l.words.units[tail] != noUnit:
		t.unit, t.name, t.text = l.words.units[tail], tail, t.text+tail
	case l.words.words[t.text+tail] != unknownWord:
		t.kind, t.text = kWord, t.text+tail
	case formHours.MatchString(tail) && t.whole() && t.value < 24:
		t.kind, t.text = kCompound, t.text+tail // 7h40
	case l.nthTail(t, tail):
	case l.words.words[tail] != unknownWord:
		l.emit(kWord, start)
	default: // "17a", "3l.4": neither a number nor a word
		t.kind, t.text, t.value = kBad, t.text+tail, 0
	}
}

// counted takes a known word that begins with digits, where no blanks stand
// between words: 2本目.
func (l *lexer) counted() bool {
	t := &l.toks[len(l.toks)-1]
	for n := 4; n > 0 && isUnspaced(l.at(l.i)); n-- {
		end := min(l.i+n, len(l.s))
		if w := t.text + string(l.lower[l.i:end]); l.words.words[w] != unknownWord {
			t.kind, t.text, l.i = kWord, w, end
			return true
		}
	}
	return false
}

// hanClock takes 7時40分 and 7時半.
func (l *lexer) hanClock() bool {
	t := &l.toks[len(l.toks)-1]
	if l.at(l.i) != '時' && l.at(l.i) != '时' || !t.whole() || t.value > 23 {
		return false
	}
	end, minute := l.i+1, ""
	for isDigit(l.at(end)) && end < l.i+3 {
		minute += string(l.at(end))
		end++
	}
	switch {
	case minute == "" && l.at(end) == '半':
		minute, end = "30", end+1
	case len(minute) == 2 && l.at(end) == '分':
		end++
	default:
		return false
	}
	t.kind, t.text, l.i = kCompound, t.text+":"+minute, end
	return true
}

// letterDecimal notices a letter typed for the last digit: "32.o", "32.l".
func (l *lexer) letterDecimal() bool {
	if r := l.at(l.i); r != '.' && r != ',' || !isWord(l.at(l.i+1)) || isWord(l.at(l.i+2)) || isDigit(l.at(l.i+2)) {
		return false
	}
	t := &l.toks[len(l.toks)-1]
	t.kind, t.text, t.value = kBad, t.text+string(l.s[l.i:l.i+2]), 0
	l.i += 2
	return true
}

// The percentages that are taken at once. Anything else between 5 and 100 is
// asked about, and taken when it is typed again.
const (
	leastPlausible      = 15
	leastWholePlausible = 18
	mostPlausible       = 50
	leastPercent        = 5
	mostPercent         = 100
)

func wholePlausible(v float64) bool { return v >= leastWholePlausible && v <= mostPlausible }

// plausible tells whether a number is taken at once as a percentage.
func (t token) plausible() bool {
	if t.decimals == 0 && !t.percent {
		return wholePlausible(t.value) && !strings.HasPrefix(t.text, "0")
	}
	return t.value >= leastPlausible && t.value <= mostPlausible && t.decimals <= 2 && !strings.HasPrefix(t.text, "0")
}

// doubtful says why a number that is not plausible is not, and what may have
// been meant.
func (t token) doubtful() (Doubtful, gas.Percent) {
	v := t.value
	switch {
	case t.decimals > 2 && v >= leastPercent && v <= mostPercent, strings.HasPrefix(t.text, "0") && v >= 1:
		return Slip, plausibly(v)
	case v <= 0:
		return Range, 0
	case v < 1:
		return Fraction, plausibly(v * 100)
	case t.whole() && v < leastWholePlausible:
		return LabelOrReading, 0
	case v < leastPercent:
		return Slip, plausibly(v * 10)
	case v <= mostPercent:
		return Range, gas.Percent(v)
	case t.whole() && isPressure(v):
		return Pressure, 0
	case t.whole() && v < 1000:
		return Slip, plausibly(v / 10)
	case t.whole() && v < 10000:
		return Slip, plausibly(v / 100)
	}
	return Range, 0
}

// isPressure tells whether a whole number looks like the pressure of a
// cylinder: round bar from 100 to 320, round psi from 1000 to 5000.
func isPressure(v float64) bool {
	n := int(v)
	return n >= 100 && n <= 320 && n%10 == 0 || n >= 1000 && n <= 5000 && n%50 == 0 || n == 232
}

func plausibly(v float64) gas.Percent {
	if v < leastWholePlausible || v > mostPlausible {
		return 0
	}
	return gas.Percent(strToFloat(v))
}

// strToFloat drops the digits that multiplying by ten added.
func strToFloat(v float64) float64 {
	return parseNumber(strconv.FormatFloat(v, 'f', 2, 64))
}
