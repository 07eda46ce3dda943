package reply

import "strings"

// name gives tokens their meaning: spoken numbers become numbers, phrases get
// their class, units and percent signs go with their number, sentences and
// clauses are counted.
func name(toks []token, v *vocabulary) []token {
	toks = phrases(toks, v)
	misspelt(toks, v)
	toks = ordinalDots(toks)
	toks = spoken(toks, v)
	articles(toks)
	toks = bind(toks, v)
	slashes(toks)
	colons(toks, v)
	parts(toks)
	sentence, clause := 0, 0
	for i := range toks {
		toks[i].sentence, toks[i].clause = sentence, clause
		switch {
		case toks[i].kind == kStop || toks[i].kind == kAsk:
			sentence++
			clause++
		case toks[i].kind == kComma, toks[i].kind == kBreak, toks[i].role == and, toks[i].role == but:
			clause++
		}
	}
	framed(toks, v)
	return toks
}

// phrases joins words that are a phrase, the longest first. Like spoken and
// bind it writes over the tokens that it has read: they become fewer, not more.
func phrases(toks []token, v *vocabulary) []token {
	out := toks[:0]
	for i := 0; i < len(toks); {
		n, c := longestPhrase(toks[i:], v)
		t := toks[i]
		if len(out) > 0 && v.point[lowerCase(out[len(out)-1].text)] {
			if _, digit := v.numbers[lowerCase(t.text)]; digit {
				n = 0 // "thirty two point one second tank 22": no second
			}
		}
		if n > 0 {
			t.kind, t.role = kWord, c
			t.text = joinText(toks[i : i+n])
			t.n = v.ordinals[lowerCase(t.text)]
		}
		out = append(out, t)
		i += max(n, 1)
	}
	return out
}

func longestPhrase(toks []token, v *vocabulary) (int, role) {
	n, c := 0, unknownWord
	var b strings.Builder
	words := 0
	for i := 0; i < len(toks) && words < v.longest; i++ {
		if toks[i].kind == kDash && toks[i].glued && i > 0 {
			continue // "dis-moi"
		}
		if toks[i].kind != kWord {
			break
		}
		if words > 0 {
			b.WriteByte(' ')
		}
		words++
		b.WriteString(lowerCase(toks[i].text))
		if found, ok := v.words[b.String()]; ok {
			n, c = i+1, found
		}
	}
	return n, c
}

func joinText(toks []token) string {
	words := make([]string, len(toks))
	for i, t := range toks {
		words[i] = t.text
	}
	return strings.Join(words, " ")
}

// spoken turns "thirty two point four" into 32.4. Words that are part of a
// longer phrase ("this one") are no numbers.
func spoken(toks []token, v *vocabulary) []token {
	out := toks[:0]
	for i := 0; i < len(toks); {
		if article(toks[i:], v) && (i == 0 || !toks[i-1].plays(labelled, dive)) {
			toks[i].role = neutral
		}
		if n, t := nthWord(toks[i:], v); n > 0 {
			out = append(out, t)
			i += n
			continue
		}
		if n, t := spokenNumber(toks[i:], v); n > 0 {
			out = append(out, t)
			i += n
			continue
		}
		out = append(out, toks[i])
		i++
	}
	return out
}

// article tells whether a word for one only leads to a typed number or to what
// nobody counts: "un 32,0", "een verkeerd cijfer".
func article(toks []token, v *vocabulary) bool {
	if len(toks) < 2 || toks[0].kind != kWord {
		return false
	}
	number := toks[1].kind == kNumber && toks[1].decimals > 0
	thing := toks[1].kind == kWord && toks[1].plays(analyser, wrong, excuse) && !toks[1].glued
	w := lowerCase(toks[0].text)
	return (number || thing) && indefinite[w] && v.numbers[w] == 1
}

// indefinite are the words for one that are articles as well.
var indefinite = map[string]bool{"un": true, "una": true, "une": true, "um": true, "uma": true, "ein": true,
	"eine":  true,
	"einen": true, "een": true}

// ordinalDots makes one word of "1." before a word for a dive. "32.1 on 1. Dive
// 2 next" has the dive's number behind it: there the dot ends a sentence.
func ordinalDots(toks []token) []token {
	out := toks[:0]
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		if i+2 < len(toks) && small(t) && toks[i+1].kind == kStop && toks[i+1].glued && toks[i+2].role == dive &&
			!(i+3 < len(toks) && small(toks[i+3])) {
			t.kind, t.role, t.n = kWord, ordinal, int(t.value)
			i++
		}
		out = append(out, t)
	}
	return out
}

// small tells whether a token is a number that a dive may have.
func small(t token) bool { return t.whole() && t.value >= 1 && t.value <= 9 }

// articles makes words again of those for one that are only articles ("una
// botella"): where no number is typed or spoken but them, and a word follows.
func articles(toks []token) {
	for _, t := range toks {
		switch {
		case t.inWords && t.value == 1:
		case t.kind == kNumber, t.kind == kTwoWays, t.kind == kBad, t.kind == kCompound:
			return
		}
	}
	for i := range toks {
		follows := i+1 < len(toks) && toks[i+1].kind == kWord
		if toks[i].kind == kNumber && follows && (i == 0 || !toks[i-1].plays(labelled, dive)) {
			toks[i].kind, toks[i].role = kWord, neutral
		}
	}
}

// bind puts units and percent signs to the number beside them.
func bind(toks []token, v *vocabulary) []token {
	out := toks[:0]
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		last := len(out) - 1
		switch {
		case t.role == percent && last >= 0 && out[last].whole() && decimalsAhead(toks[i+1:]):
			// "17 oxygen 32.4"
		case (t.kind == kPercent || t.role == percent) && last >= 0 && takesPercent(out[last]):
			out[last].percent = true
			continue
		case t.kind == kPercent && i+1 < len(toks) && toks[i+1].kind == kNumber && toks[i+1].glued:
			toks[i+1].percent = true // the Turkish way: %32,4
			continue
		case last >= 0 && takesUnit(out[last]) && v.units[lowerCase(t.text)] != noUnit:
			out[last].unit, out[last].name = v.units[lowerCase(t.text)], lowerCase(t.text)
			continue
		}
		out = append(out, t)
	}
	return out
}

// decimalsAhead tells whether the clause goes on to a number with decimals.
func decimalsAhead(toks []token) bool {
	for _, t := range toks {
		if t.kind != kWord {
			return t.kind == kNumber && t.decimals > 0
		}
	}
	return false
}

func takesPercent(t token) bool {
	return (t.kind == kNumber || t.kind == kTwoWays) && t.unit == noUnit && !t.percent
}

func takesUnit(t token) bool {
	return (t.kind == kNumber || t.kind == kBad || t.kind == kCompound) && t.unit == noUnit && !t.percent
}

// parts makes each - that stands off between a reading and the next label one
// that parts: "17: 31.6 - 22: 35.8".
func parts(toks []token) {
	for i := 1; i+2 < len(toks); i++ {
		if toks[i].kind != kDash || toks[i].glued || toks[i+1].glued {
			continue
		}
		label, reading := toks[i+1].whole() || toks[i+1].kind == kLabel, toks[i-1]
		if label && reading.kind == kNumber && reading.decimals > 0 && toks[i+2].kind == kArrow {
			toks[i].kind = kBreak
		}
	}
}

// colons makes each colon behind a clause that says nothing of a reading one that
// parts: "sorry for the late reply: 32.4".
func colons(toks []token, v *vocabulary) {
	for i := 1; i < len(toks); i++ {
		if toks[i].kind == kArrow && toks[i].text == ":" && toks[i-1].role == aside && !v.noted[lowerCase(toks[i-1].text)] {
			toks[i].kind = kComma
		}
	}
}

// slashes makes each / the sign between a label and its number ("17 / 31.6"),
// or one that parts ("17: 31.6 / 22: 35.8").
func slashes(toks []token) {
	for i := range toks {
		if toks[i].kind != kSlash {
			continue
		}
		toks[i].kind = kBreak
		if i == 0 || i+1 == len(toks) {
			continue
		}
		label, reading := toks[i-1].whole() || toks[i-1].kind == kLabel, toks[i+1]
		if label && reading.kind == kNumber && reading.decimals > 0 {
			toks[i].kind = kArrow
		}
	}
}
