package reply

import "strings"

// name gives tokens their meaning: spoken numbers become numbers, phrases get
// their class, units and percent signs go with their number, sentences and
// clauses are counted.
func name(toks []token, v *vocabulary) []token {
	toks = phrases(toks, v)
	toks = spoken(toks, v)
	toks = bind(toks, v)
	sentence, clause := 0, 0
	for i := range toks {
		toks[i].sentence, toks[i].clause = sentence, clause
		switch {
		case toks[i].kind == kStop || toks[i].kind == kAsk:
			sentence++
			clause++
		case toks[i].kind == kComma, toks[i].kind == kBreak, toks[i].class == and, toks[i].class == but:
			clause++
		}
	}
	return toks
}

// phrases joins words that are a phrase, the longest first. Like spoken and
// bind it writes over the tokens that it has read: they become fewer, not more.
func phrases(toks []token, v *vocabulary) []token {
	out := toks[:0]
	for i := 0; i < len(toks); {
		n, c := longestPhrase(toks[i:], v)
		t := toks[i]
		if n > 0 {
			t.kind, t.class = kWord, c
			t.text = joinText(toks[i : i+n])
			t.n = v.ordinals[lowerCase(t.text)]
		}
		out = append(out, t)
		i += max(n, 1)
	}
	return out
}

func longestPhrase(toks []token, v *vocabulary) (int, class) {
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

// bind puts units and percent signs to the number beside them.
func bind(toks []token, v *vocabulary) []token {
	out := toks[:0]
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		last := len(out) - 1
		switch {
		case (t.kind == kPercent || t.class == percent) && last >= 0 && takesPercent(out[last]):
			out[last].percent = true
			continue
		case t.kind == kPercent && i+1 < len(toks) && toks[i+1].kind == kNumber && toks[i+1].glued:
			toks[i+1].percent = true // the Turkish way: %32,4
			continue
		case last >= 0 && takesUnit(out[last]) && v.units[lowerCase(t.text)] != noUnit:
			out[last].unit = v.units[lowerCase(t.text)]
			continue
		}
		out = append(out, t)
	}
	return out
}

func takesPercent(t token) bool {
	return (t.kind == kNumber || t.kind == kTwoWays) && t.unit == noUnit && !t.percent
}

func takesUnit(t token) bool {
	return (t.kind == kNumber || t.kind == kBad || t.kind == kCompound) && t.unit == noUnit && !t.percent
}
