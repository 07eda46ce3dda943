package reply

import "slices"

// Declining is whether words that were asked for as a reason say rather that
// nothing was meant.
type Declining uint8

// What words may be instead of a reason.
const (
	NoDecline  Declining = iota
	MayDecline           // "no fins", "wrong diver": a reason or none
	Declines             // "no, he is fine", "wait", "never mind"
)

// Declined looks at how each clause of a text begins: there a no, a hold and a word
// of taking back stand. What may also begin a reason is not certain.
func Declined(text string, ctx Context) Declining {
	words := wordsOf(ctx.Language)
	m := &message{ctx: ctx, words: words, toks: name(lex(text, ctx, words), words)}
	most := NoDecline
	for i, t := range m.toks {
		if m.begins(i) {
			most = max(most, m.declines(i))
		}
		if m.roleOf(t) == wrong || t.plays(correction, meant) {
			most = max(most, MayDecline)
		}
	}
	return most
}

// begins tells whether token i is the first word of its clause that says anything.
func (m *message) begins(i int) bool {
	if m.toks[i].kind != kWord || m.toks[i].plays(neutral, vocative, saidHello, saidThanks, excuse) && !m.holdsOn(i) {
		return false
	}
	for j := i - 1; j >= 0 && !m.toks[j].kind.separates(); j-- {
		if t := m.toks[j]; t.kind != kEmoji && !t.plays(neutral, vocative, saidHello, saidThanks, excuse) {
			return false
		}
	}
	return true
}

// roleOf is a word's role, or that of the word that it is with an ending: "falscher".
func (m *message) roleOf(t token) role {
	word := []rune(lowerCase(t.text))
	for cut := 1; cut <= 2 && t.kind == kWord && t.role == unknownWord && len(word) > cut+3; cut++ {
		if r := m.words.words[string(word[:len(word)-cut])]; r != unknownWord {
			return r
		}
	}
	return t.role
}

func (m *message) holdsOn(i int) bool { return m.words.holds[lowerCase(m.toks[i].text)] }

func (m *message) declines(i int) Declining {
	alone := i+1 == len(m.toks) || m.toks[i+1].kind.separates()
	switch t := m.toks[i]; {
	case m.holdsOn(i), t.plays(saidNo, saidCancel, saidUndo, answerNo, firmNo, meant):
		return Declines
	case t.plays(correction, wrong, maybeNo, deny, rather, saidNotYet) && alone:
		return Declines
	case t.plays(correction, wrong, maybeNo, deny, rather, never, saidNotYet, excuse):
		return MayDecline
	}
	return NoDecline
}

// IsNoReason tells whether an answer is neither a reason nor a no: a yes, a question.
func (in Intent) IsNoReason() bool {
	return slices.Contains([]Intent{Yes, Asks, Unsure, DontKnow, Help, Hello, Thanks}, in)
}
