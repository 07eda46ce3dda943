package message

import (
	"html"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// Whatever somebody is called, the sentence around it stands: one line, no
// hidden controls, no markup, and not much longer.
func FuzzName(f *testing.F) {
	for _, s := range []string{"Tomasz", "<b>x</b>", "a\nb", "\u202eGO", "\xff\xfe", "يوسف", "👩‍🚒", "&lt;",
		strings.Repeat("é", 500), "{{.name}}", "\"'`"} {
		f.Add(s)
	}
	m := func(s string) Message {
		return Message{Lines: []Line{Loud("list.last", Args{"a": Name(s), "b": Code("end")})}}
	}
	f.Fuzz(func(t *testing.T, s string) {
		plain := New().Text(m(s), Reader{}, Plain)
		marked := New().Text(m(s), Reader{}, HTML)
		if strings.ContainsAny(plain, "\n\r\x00") || !strings.HasSuffix(plain, " and end") {
			t.Errorf("%q broke the line: %q", s, plain)
		}
		for _, r := range strings.NewReplacer("\u2068", "", "\u2069", "").Replace(plain) {
			if unicode.Is(unicode.Bidi_Control, r) || (unicode.IsControl(r)) {
				t.Errorf("%q keeps %U", s, r)
			}
		}
		if n := utf8.RuneCountInString(plain); n > longestName+len("… and end")+2 {
			t.Errorf("%q: %d characters", s, n)
		}
		inner := strings.TrimSuffix(strings.TrimPrefix(marked, "<b>"), "</b>")
		if strings.ContainsAny(inner, "<>\"") || html.UnescapeString(inner) != plain {
			t.Errorf("%q is marked up as %q", s, marked)
		}
	})
}
