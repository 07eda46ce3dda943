package message

import (
	"strings"
	"testing"
)

// Every sentence can be written in every language that is offered, for both
// units, with all of its values and counts; and in a text from right to left
// every isolate is closed.
func TestEverySentenceInEveryLanguage(t *testing.T) {
	r := New()
	n := 0
	for _, tag := range Languages() {
		for _, s := range Sentences() {
			for _, l := range s.Lines {
				for _, units := range unitsOf(l) {
					text := r.Line(l, Reader{Language: tag, Units: units})
					if n++; text == "" || strings.Contains(text, "⟦") || strings.Contains(text, "<no value>") {
						t.Errorf("%s %s: %q", tag, s.Key, text)
					}
					if strings.Count(text, "\u2068")+strings.Count(text, "\u2066") != strings.Count(text, "\u2069") {
						t.Errorf("%s %s: an isolate is open in %q", tag, s.Key, text)
					}
				}
			}
		}
	}
	if n < 10*1000 {
		t.Errorf("only %d texts: does the test still see the catalogues?", n)
	}
}

// unitsOf are the units that a line looks different in.
func unitsOf(l Line) []string {
	for _, v := range l.Values {
		if v.Kind == KindLimit || v.Kind == KindPlanned || v.Kind == KindLine {
			return []string{"m", "ft"}
		}
	}
	return []string{"m"}
}

// The four verdicts can't be mistaken for one another in any language, and
// where no practitioner has read the words, the English ones stand beside.
func TestVerdictsStandApart(t *testing.T) {
	r := New()
	english := map[string]string{"verdict.go": "GO", "verdict.limits.other": "GO WITH LIMITS", "verdict.no-go": "STOP, NO-GO", "verdict.no-reading": "ANALYSE FIRST"}
	for _, tag := range Languages() {
		symbols, words := map[string]bool{}, map[string]bool{}
		for key, want := range english {
			text := r.Line(Say(key, nil), Reader{Language: tag})
			symbol, rest, _ := strings.Cut(text, " ")
			own, _, _ := strings.Cut(rest, " (")
			if symbols[symbol] || words[own] || own == "" {
				t.Errorf("%s: %q is like another verdict", tag, text)
			}
			symbols[symbol], words[own] = true, true
			if !Reviewed(tag) && !strings.Contains(text, "("+want+")") && !strings.Contains(text, "(\u2068"+want+"\u2069)") {
				t.Errorf("%s: %q lacks the English %q", tag, text, want)
			}
		}
	}
}
