package telegram

import (
	"html"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"

	"gasmuster/internal/telegram/standin"
)

// Limits of a message: Bot API, sendMessage ("1-4096 characters after entities
// parsing", counted in UTF-16 units).
func TestSplit(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text string
		most int
		want []string
	}{
		"fits":                    {"<b>✅ GO</b>\nLabel: 33 m", 40, []string{"<b>✅ GO</b>\nLabel: 33 m"}},
		"at a line":               {"one two\nthree four", 12, []string{"one two\n", "three four"}},
		"at a word":               {"one two three", 9, []string{"one two ", "three"}},
		"in a long word":          {"abcdefghij", 4, []string{"abcd", "efgh", "ij"}},
		"tag open at the cut":     {"<b>one two three</b>", 9, []string{"<b>one two </b>", "<b>three</b>"}},
		"nested":                  {"<b>ab<i>cdef</i>g</b>", 4, []string{"<b>ab<i>cd</i></b>", "<b><i>ef</i>g</b>"}},
		"tag just before the cut": {"abcd<b>ef</b>", 4, []string{"abcd", "<b>ef</b>"}},
		"entity":                  {"abc&amp;def", 4, []string{"abc&amp;", "def"}},
		"entity at the cut":       {"abcd&lt;ef", 4, []string{"abcd", "&lt;ef"}},
		"surrogates":              {"ab🤿cd", 3, []string{"ab", "🤿c", "d"}},
		"grapheme":                {"ab👩‍🚀cd", 6, []string{"ab", "👩‍🚀c", "d"}},
		"combining marks":         {"abce\u0301d", 4, []string{"abc", "e\u0301d"}},
		"flag":                    {"abc🇵🇹", 6, []string{"abc", "🇵🇹"}},
		"table": {"<pre>17 32.4\n22 36.0\n</pre>after", 9,
			[]string{"<pre>17 32.4\n</pre>", "<pre>22 36.0\n</pre>", "after"}},
		"nothing to see":      {"<b> \n </b>", 4, nil},
		"empty":               {"", 4, nil},
		"blank part left out": {"abcd        efgh", 4, []string{"abcd", "efgh"}},
	} {
		t.Run(name, func(t *testing.T) {
			got := split(c.text, c.most)
			if strings.Join(got, "¦") != strings.Join(c.want, "¦") {
				t.Errorf("split: %q, want %q", got, c.want)
			}
		})
	}
}

// Properties: every part is markup that the server takes and within its limits;
// nothing but blanks is lost; nothing is cut inside a character.
func checkSplit(t *testing.T, text string, most int) {
	t.Helper()
	parts := split(text, most)
	var all strings.Builder
	whole := map[string]bool{}
	for g := uniseg.NewGraphemes(plain(text)); g.Next(); {
		whole[g.Str()] = true
	}
	for _, part := range parts {
		shown, _, err := standin.ParseHTML(part)
		if err != nil {
			t.Fatalf("part %q of %q: %v", part, text, err)
		}
		if n := units(shown); n > max(most, maxGrapheme) {
			t.Errorf("part of %d units, at most %d fit", n, most)
		}
		if len(part) > maxBytes {
			t.Errorf("part of %d bytes", len(part))
		}
		if strings.TrimSpace(shown) == "" {
			t.Errorf("blank part %q", part)
		}
		all.WriteString(shown)
	}
	if got, want := letters(all.String()), letters(plain(text)); got != want {
		t.Errorf("parts say %q, want %q", got, want)
	}
}

func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, s)
}

func FuzzSplit(f *testing.F) {
	for _, s := range []string{"", "✅ GO & <b>", "e\u0301👩‍🚀🇵🇹", strings.Repeat("&", 300), "\u202e32.4", "a\x00b\xff",
		"&amp;lt;", strings.Repeat("\u0301", 200),
		strings.Repeat("line of a board with 32.4 %\n", 20)} {
		f.Add(s, 10, uint8(3))
	}
	f.Fuzz(func(t *testing.T, s string, most int, style uint8) {
		if !utf8.ValidString(s) || strings.ContainsRune(s, utf8.RuneError) {
			s = strings.ToValidUTF8(s, "?")
		}
		if most < 1 || most > maxUnits {
			most = 1 + (most&0xfff+0xfff)%maxUnits
		}
		escaped := html.EscapeString(s)
		if escaped != "" {
			escaped = []string{escaped, "<b>" + escaped + "</b>", "<pre>" + escaped + "</pre>",
				"<i>" + escaped + "</i>x"}[style%4]
		}
		checkSplit(t, escaped, most)
	})
}

func TestSplitFullSize(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"ampersands": "<b>" + html.EscapeString(strings.Repeat("&", 20000)) + "</b>",
		"quotes":     html.EscapeString(strings.Repeat(`"'`, 9000)),
		"emoji":      strings.Repeat("🤿", 9000),
		"tags":       strings.Repeat("<b>a</b>", 9000),
		"marks":      strings.Repeat("e"+strings.Repeat("\u0301", 50), 500),
		"board":      strings.Repeat("<b>⛔ STOP, NO-GO</b> Tomasz, 17: 36.0 %\n", 300),
	} {
		t.Run(name, func(t *testing.T) { checkSplit(t, text, maxUnits) })
	}
}

func BenchmarkSplit(b *testing.B) {
	text := strings.Repeat("<b>⛔ STOP, NO-GO</b> Tomasz, 17: 36.0 % &amp; more\n", 300)
	for b.Loop() {
		split(text, maxUnits)
	}
}
