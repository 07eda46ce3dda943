package message

import (
	"regexp"
	"strings"
	"testing"
)

func TestTogether(t *testing.T) {
	for text, want := range map[string]string{
		"⛔ STOP, NO-GO · 17":          "⛔\u00a0STOP, NO\u2011GO · 17",
		"✅ GO · 17 · 30 m as planned": "✅\u00a0GO · 17 · 30\u00a0m as planned",
		"32.4 %, 22 min, 4 ppm":       "32.4\u00a0%, 22\u00a0min, 4\u00a0ppm",
		"2 more, 3 meals":             "2 more, 3 meals",
		"最大 33 m、22 min":              "最大 33\u00a0m、22\u00a0min",
	} {
		if got := Unbroken(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

// torn are places at which a line could be broken and should not be.
var torn = regexp.MustCompile(`\d (%|m|ft|min|ppm|bar)([^\p{Latin}]|$)|[✅⛔❓] |NO-GO`)

// Half of a verdict may say the contrary: in every language it stays whole, and so
// do values with their units, wherever a text has them.
func TestEveryTextStaysTogether(t *testing.T) {
	for _, tag := range Languages() {
		w := New().writer(Reader{Language: tag})
		var contrary []string
		for _, key := range wholePhrases {
			contrary = append(contrary, phrasesOf(w.line(Say(key, nil)))...)
		}
		for key, forms := range entries(t, tag) {
			for _, text := range forms {
				text = Unbroken(placeholder.ReplaceAllString(text, "30 m"))
				if at := torn.FindString(text); at != "" {
					t.Errorf("%s %s: %q can be torn apart: %q", tag, key, at, text)
				}
				for _, phrase := range contrary {
					if phrase != whole(phrase, tag) && strings.Contains(text, phrase) {
						t.Errorf("%s %s: %q can be torn apart: %q", tag, key, phrase, text)
					}
				}
			}
		}
	}
}
