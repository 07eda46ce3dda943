package reply

import "strings"

// Words as the lexer cuts them: with their digits, without what is written
// before them without a blank.

// word takes letters. Digits that follow belong to it when the whole is known
// ("o2") or when the letters are no name that numbers follow ("ean32").
func (l *lexer) word() {
	start := l.i
	if isUnspaced(l.at(start)) {
		l.unspaced()
		return
	}
	for isLetter(l.at(l.i)) || l.at(l.i) == '\'' && isLetter(l.at(l.i+1)) {
		if l.at(l.i) == '\'' && l.words.elisions[string(l.lower[start:l.i])] {
			l.i++
			l.emit(kWord, start)
			return
		}
		l.i++
	}
	if l.at(l.i) == '\'' && l.words.words[string(l.lower[start:l.i+1])] != unknownWord { // "e' 32,4"
		l.i++
	}
	if l.prefix(start) {
		return
	}
	letters := l.i
	for isDigit(l.at(l.i)) || isLetter(l.at(l.i)) {
		l.i++
	}
	if l.i > letters && l.words.words[string(l.lower[start:l.i])] == unknownWord {
		switch l.words.words[string(l.lower[start:letters])] {
		case neutral:
			if letters-start > 1 { // "a14" is a name
				l.i = letters
			}
		case blend, labelled, analyser, dive, other, measured, air, and, helium, monoxide:
			l.i = letters
		}
	}
	l.emit(kWord, start)
	if l.words.words[string(l.lower[start:l.i])] != unknownWord {
		l.abbreviation()
	}
}

// prefix cuts a word off that is written without a blank before the next:
// "و22", "والأسطوانة". What follows must be a number or a word that is known.
func (l *lexer) prefix(start int) bool {
	w := string(l.lower[start:l.i])
	if l.words.knows(w) && !isDigit(l.at(l.i)) || l.words.pieces[w] && len([]rune(w)) > 1 {
		return false
	}
	for _, p := range l.words.prefixes {
		rest, ok := strings.CutPrefix(w, p)
		if ok && (rest == "" && isDigit(l.at(l.i)) || l.words.knows(rest) || l.words.pieces[rest] || l.prefixed(rest)) {
			l.i = start + len([]rune(p))
			l.emit(kWord, start)
			return true
		}
	}
	return false
}

// prefixed tells whether a word that is known, or nothing before digits, stands
// behind a prefix: the second one of "ولأسطوانة" and "وب31.6".
func (l *lexer) prefixed(w string) bool {
	for _, p := range l.words.prefixes {
		if rest, ok := strings.CutPrefix(w, p); ok && (rest == "" && isDigit(l.at(l.i)) || l.words.knows(rest)) {
			return true
		}
	}
	return false
}

// abbreviation swallows the dot of "no. 17" and "ca. 32".
func (l *lexer) abbreviation() {
	if l.at(l.i) != '.' {
		return
	}
	j := l.i + 1
	for l.at(j) == ' ' {
		j++
	}
	if isDigit(l.at(j)) {
		l.i++
	}
}
