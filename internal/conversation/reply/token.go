package reply

import (
	"slices"
	"strings"
	"unicode"
)

// kind is what a token is made of.
type kind uint8

const (
	kNumber   kind = iota
	kWord          // letters, also "o2"
	kLabel         // one of the person's labels that is no plain number
	kComma         // ,
	kBreak         // ; / and a new line: the thought is over, the sentence not
	kStop          // . !
	kAsk           // ?
	kArrow         // : = ->
	kDash          // -
	kPercent       // %
	kAround        // ~ < >
	kHash          // #
	kCompound      // a date, a time, a phone number
	kBlend         // 32/68
	kBad           // a number with a slip in it; value is what it might be
	kTwoWays       // 32,36
	kSlash         // /, until it is known whether it joins or parts
	kEmoji         // a face, a fish: no more than a smile
	kBullet        // * •
	kOther         // any other sign
)

// token is one piece of text.
type token struct {
	kind     kind
	weak     bool    // the decimal sign was a word that joins other things as well
	inWords  bool    // the number was written in words
	glued    bool    // no blank before it
	nth      bool    // an ordinal: a label or nothing
	percent  bool    // a percent sign or word goes with the number
	done     bool    // accounted for
	is       is      // what a number was found to be
	text     string  // folded, as typed
	value    float64 // of numbers
	decimals int     // how many digits follow the decimal sign
	pos      int     // of its first rune

	role     role
	n        int    // ordinal, dive
	name     string // of a label, or of the unit
	meter    string // name of an analyser
	unit     unit
	sentence int
	clause   int
}

// separates tells whether a sign ends a clause.
func (k kind) separates() bool { return k == kComma || k == kBreak || k == kStop || k == kAsk }

// plays tells whether a word has one of some roles.
func (t token) plays(roles ...role) bool { return has(roles, t.role) }

func (t token) whole() bool { return t.kind == kNumber && t.decimals == 0 && !t.percent }

// lexer cuts folded text into tokens.
type lexer struct {
	s      []rune
	lower  []rune
	i      int
	words  *vocabulary
	labels []nameMatch
	toks   []token
}

// nameMatch is a label or analyser name as it may be typed.
type nameMatch struct {
	name  string
	lower []rune
}

func lex(text string, ctx Context, words *vocabulary) []token {
	folded := words.simplified(fold(text))
	l := &lexer{s: []rune(folded), lower: []rune(lowerCase(folded)), words: words, toks: make([]token, 0, 4)}
	for _, name := range ctx.Labels {
		if m := (nameMatch{name, []rune(lowerCase(fold(strings.TrimSpace(name))))}); !plainNumber(m.lower) {
			l.labels = append(l.labels, m)
		}
	}
	for l.i < len(l.s) {
		l.next()
	}
	return l.toks
}

func plainNumber(s []rune) bool {
	for _, r := range s {
		if r < '0' || r > '9' {
			return false
		}
	}
	return true
}

func (l *lexer) at(i int) rune {
	if i < 0 || i >= len(l.s) {
		return 0
	}
	return l.lower[i]
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// isLetter is isWord without the scripts that put no blanks between words.
func isLetter(r rune) bool { return isWord(r) && !isUnspaced(r) }

func isWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsMark(r) || r == '°' || r == '€' || r == '$' || r == '£' || r == '_'
}

// emit adds a token for the runes from start to l.i.
func (l *lexer) emit(k kind, start int) *token {
	l.toks = append(l.toks, token{kind: k, text: string(l.s[start:l.i]), pos: start,
		glued: start > 0 && !unicode.IsSpace(l.s[start-1])})
	return &l.toks[len(l.toks)-1]
}

func (l *lexer) next() {
	r := l.at(l.i)
	switch {
	case l.smiley():
	case r == ' ' || r == '(' || r == ')':
		l.i++
	case l.label():
	case isDigit(r), (r == '.' || r == ',') && isDigit(l.at(l.i+1)) && l.opensNumber():
		l.number()
	case isWord(r):
		l.word()
	default:
		l.sign()
	}
}

// opensNumber tells whether a decimal sign may begin a number here: it parts behind a
// word, ")" and "%".
func (l *lexer) opensNumber() bool {
	before := l.at(l.i - 1)
	return !isWord(before) && before != ')' && before != '%'
}

// smiley skips ":-)" and its kin: its colon is no colon.
func (l *lexer) smiley() bool {
	if before := l.at(l.i - 1); !strings.ContainsRune(":;=", l.at(l.i)) || before != ' ' && before != '\n' && l.i > 0 {
		return false
	}
	end := l.i + 1
	if l.at(end) == '-' || l.at(end) == '\'' {
		end++
	}
	mouth := end
	for l.at(end) != 0 && strings.ContainsRune(")(dpo|*", l.at(end)) {
		end++
	}
	if end == mouth || isWord(l.at(end)) || isDigit(l.at(end)) {
		return false
	}
	l.i = end
	return true
}

// label takes a label with letters or signs in it, the longest that fits.
func (l *lexer) label() bool {
	if isDigit(l.at(l.i-1)) || isLetter(l.at(l.i-1)) {
		return false
	}
	best := -1
	for i, m := range l.labels {
		end := l.i + len(m.lower)
		if end <= len(l.lower) && slices.Equal(l.lower[l.i:end], m.lower) &&
			!isDigit(l.at(end)) && !isLetter(l.at(end)) && (best < 0 || len(m.lower) > len(l.labels[best].lower)) {
			best = i
		}
	}
	if best < 0 {
		return false
	}
	start := l.i
	l.i += len(l.labels[best].lower)
	l.emit(kLabel, start).name = l.labels[best].name
	return true
}

var signs = map[rune]kind{',': kComma, ';': kBreak, '\n': kBreak, '/': kSlash, '*': kBullet,
	'.': kStop, '!': kStop, '?': kAsk, '@': kArrow, ':': kArrow, '=': kArrow, '→': kArrow, '-': kDash, '%': kPercent,
	'~': kAround, '<': kAround, '>': kAround, '#': kHash}

func (l *lexer) sign() {
	start := l.i
	if l.at(l.i) == '>' && l.at(l.i+1) == '>' { // "17 >> 32.4"
		for l.at(l.i) == '>' {
			l.i++
		}
		l.emit(kArrow, start)
		return
	}
	if r := l.at(l.i); (r == '-' || r == '=') && l.arrowHead(start) || r == '+' && l.plus(start) {
		return
	}
	l.i++
	if l.lower[start] == '\'' && (isLetter(l.at(l.i)) || isLetter(l.at(start-1))) {
		return // "'t is"
	}
	k, ok := signs[l.lower[start]]
	if !ok {
		k = kOther
	}
	t := l.emit(k, start)
	if k != kOther {
		return
	}
	if t.text == "&" {
		t.kind, t.role = kWord, and
	} else if t.role = l.words.words[t.text]; t.role != unknownWord {
		t.kind = kWord
	} else if isEmoji(l.s[start]) {
		t.kind = kEmoji
	}
}

// arrowHead takes "->", "-->", "=>".
func (l *lexer) arrowHead(start int) bool {
	end := start
	for l.at(end) == '-' || l.at(end) == '=' {
		end++
	}
	if l.at(end) != '>' {
		return false
	}
	l.i = end + 1
	l.emit(kArrow, start)
	return true
}

// plus takes a phone number ("+351 912 345 678"). Between numbers a plus sign
// is an and, after a number it means "or more".
func (l *lexer) plus(start int) bool {
	end, digits := start+1, 0
	for isDigit(l.at(end)) || (l.at(end) == ' ' || l.at(end) == '-') && isDigit(l.at(end+1)) {
		if isDigit(l.at(end)) {
			digits++
		}
		end++
	}
	k := kAround
	switch {
	case digits >= 7 && !isDigit(l.at(start-1)):
		l.i = end
		l.emit(kCompound, start)
		return true
	case digits > 0 || l.at(start+1) == ' ':
		k = kComma
	}
	l.i = start + 1
	l.emit(k, start)
	return true
}
