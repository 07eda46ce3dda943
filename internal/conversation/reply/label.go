package reply

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// LabelOf is a label out of an answer to the question for one: without words for a
// cylinder and a number, courtesies and signs around it; a number that was written in
// words or in another script's digits as digits. "It's cylinder seventeen." is 17. What
// has more in it stays as it was typed.
func LabelOf(text string, ctx Context) string {
	words := wordsOf(ctx.Language)
	m := &message{ctx: ctx, words: words}
	m.toks = name(lex(text, ctx, words), words)
	var kept []token
	for i, t := range m.toks {
		if !m.besideLabel(i) {
			kept = append(kept, t)
		}
	}
	if len(kept) == 1 && kept[0].kind == kNumber && kept[0].decimals == 0 {
		return strconv.FormatFloat(kept[0].value, 'f', -1, 64)
	}
	if len(kept) == 1 {
		return bare(kept[0].text)
	}
	return bare(text)
}

// besideLabel tells whether token i only leads to a label, or closes the message.
func (m *message) besideLabel(i int) bool {
	t := m.toks[i]
	if t.kind != kWord {
		return t.kind != kNumber && t.kind != kLabel && t.kind != kCompound
	}
	number := i+1 < len(m.toks) && m.toks[i+1].kind == kNumber && slices.Contains(numberWords, lowerCase(t.text))
	return number || t.plays(labelled, neutral, vocative, on, measured, saidHello, saidThanks)
}

// numberWords are the short words for "number", which also say no.
var numberWords = []string{"no", "nr", "n", "num", "nro"}

// bare is a text without blanks and signs around it.
func bare(text string) string {
	inner := strings.TrimFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsPunct(r) || unicode.IsSymbol(r)
	})
	if inner == "" {
		return strings.TrimSpace(text)
	}
	return inner
}
