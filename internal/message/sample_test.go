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
		if v.Kind == KindLimit || v.Kind == KindPlanned || v.Kind == KindBottom || v.Kind == KindLine {
			return []string{"m", "ft"}
		}
	}
	return []string{"m"}
}
