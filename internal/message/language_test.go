package message

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"gasmuster/internal/gas"
)

func TestMatch(t *testing.T) {
	offered := []string{"en", "es", "fr", "de", "it", "pt", "nl", "ja", "zh", "ar"}
	for _, c := range []struct{ tag, want string }{
		{"", ""}, {"en", "en"}, {"en-GB", "en"}, {"es-MX", "es"}, {"pt-br", "pt"}, {"pt-PT", "pt"}, {"de-AT", "de"},
		{"zh-hans", "zh"}, {"zh-CN", "zh"}, {"zh-TW", "zh"}, {"zh-Hant-HK", "zh"}, {"ar-EG", "ar"}, {"ja-JP", "ja"},
		{"nl-BE", "nl"}, {"fr-CA", "fr"}, {"sv", ""}, {"x", ""}, {"not a tag", ""}, {"und", ""}, {"*", ""},
		{strings.Repeat("a", 300), ""},
	} {
		t.Run(c.tag, func(t *testing.T) {
			if got := match(c.tag, offered); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestMatchHeader(t *testing.T) {
	for _, c := range []struct{ header, want string }{
		{"", ""}, {"en-GB,en;q=0.9", "en"}, {"sv, en;q=0.5", "en"}, {"sv", ""}, {"en;q=0, sv", ""}, {";;;", ""}, {"*", ""},
	} {
		if got := MatchHeader(c.header); got != c.want {
			t.Errorf("MatchHeader(%q) = %q, want %q", c.header, got, c.want)
		}
	}
}

// Every offered language is found by what its speakers call it, by its English
// name and by its tag; and it can be told from the others.
func TestLanguageNamed(t *testing.T) {
	seen := map[string]string{}
	for _, tag := range Languages() {
		own := OwnName(tag).S
		if other := seen[own]; other != "" || own == "" {
			t.Errorf("%s is called %q, as is %q", tag, own, other)
		}
		seen[own] = tag
		for _, name := range []string{own, strings.ToLower(own), strings.ToUpper(tag), " " + tag + " "} {
			if got := LanguageNamed(name); got != tag {
				t.Errorf("LanguageNamed(%q) = %q, want %q", name, got, tag)
			}
		}
	}
	for _, name := range []string{"", "32.4", "no", "yes", "what is english for this"} {
		if got := LanguageNamed(name); got != "" {
			t.Errorf("LanguageNamed(%q) = %q, want none", name, got)
		}
	}
}

// The languages whose decimal sign is a comma: Unicode CLDR, numbers of each
// locale, symbols of the numbering system latn.
func TestDecimalSigns(t *testing.T) {
	for tag, want := range map[string]string{"en": "32.4", "es": "32,4", "fr": "32,4", "de": "32,4", "it": "32,4",
		"pt": "32,4", "nl": "32,4",
		"ja": "32.4", "zh": "32.4", "ar": "32.4"} {
		w := read([]string{tag}).writer(Reader{Language: tag})
		if got := w.plain(Points(32.4)); got != want {
			t.Errorf("%s: got %q, want %q", tag, got, want)
		}
		if got := w.plain(Count(12345)); got != "12345" {
			t.Errorf("%s: got %q, want no thousands sign", tag, got)
		}
		if got := w.plain(Points(-1.4)); !strings.HasSuffix(got, want[2:]) ||
			strings.ContainsFunc(got, func(r rune) bool { return unicode.Is(unicode.Nd, r) && r > '9' }) {
			t.Errorf("%s: got %q for -1.4", tag, got)
		}
	}
}

// With decimal commas, values in a list are parted by something else.
func TestListsOfDecimals(t *testing.T) {
	w := read([]string{"de"}).writer(Reader{Language: "de"})
	got := w.plain(List(Percent(32.1), Percent(36), Percent(28.5)))
	if !strings.HasPrefix(got, "32,1 %; 36,0 %") {
		t.Errorf("got %q", got)
	}
	if got := w.plain(List(Name("A"), Name("B"), Name("C"))); !strings.HasPrefix(got, "A, B") {
		t.Errorf("got %q", got)
	}
}

// In a text from right to left, what is read from left to right stays whole
// only inside an isolate (UAX 9, X5a to X6a): digits after an Arabic letter
// would else swap places with their unit (W2, N1).
func TestRightToLeftKeepsNumbersAndCommands(t *testing.T) {
	r := read([]string{"ar"})
	w := r.writer(Reader{Language: "ar"})
	for _, c := range []struct{ text, stays string }{
		{"لا تنزل تحت " + w.value(Limit(gas.M(33))) + " أبدا", "33 m"},
		{"القراءة " + w.value(Percent(32.4)) + "، والعمق", "32.4 %"},
		{"اكتب /board ثم", "/board"},
		{"أرسل 17: 32.4 الآن", "17: 32.4"},
		{w.value(Name("Tomasz")) + " و " + w.value(Name("Inês")), "Tomasz"},
		{"ضغط ppO2 هو " + w.value(PPO2(1.4)), "1.40"},
	} {
		t.Run(c.stays, func(t *testing.T) {
			if got := isolates(t, isolateLatin(c.text)); !slices.Contains(got, c.stays) {
				t.Errorf("%q has %q by themselves, want %q among them", c.text, got, c.stays)
			}
		})
	}
}

// isolates are the outermost isolated parts of a text, without controls. It
// fails when they aren't balanced.
func isolates(t *testing.T, s string) []string {
	t.Helper()
	var parts []string
	depth := 0
	for _, r := range s {
		switch {
		case r == isolateFirst || r == isolateLeft:
			if depth++; depth == 1 {
				parts = append(parts, "")
			}
		case r == isolateEnd:
			depth--
		case depth > 0:
			parts[len(parts)-1] += string(r)
		}
		if depth < 0 {
			break
		}
	}
	if depth != 0 {
		t.Errorf("%q: isolates aren't closed", s)
	}
	return parts
}
