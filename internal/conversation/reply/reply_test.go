package reply

import (
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"gasmuster/internal/gas"
)

func TestVocabulariesLoad(t *testing.T) {
	known := map[role]bool{ordinal: true, diveNamed: true, alarmed: true}
	for _, c := range wordLists {
		known[c] = true
	}
	for name, v := range vocabularies() {
		for word, c := range v.words {
			if !known[c] && !strings.HasPrefix(string(c), intentPrefix) {
				t.Errorf("%s: %q stands under %q, which nothing reads", name, word, c)
			}
			if word != strings.Join(strings.Fields(word), " ") {
				t.Errorf("%s: %q has blanks to spare", name, word)
			}
		}
	}
}

func TestVocabularyFaults(t *testing.T) {
	tests := []struct{ name, file, want string }{
		{"twice", "[words]\nneutral=[\"the\"]\nmeasured=[\"the\"]", `"the" stands under`},
		{"unknown key", "colour=\"red\"", "unknown entries"},
		{"no TOML", "[", "vocabulary/xx.toml"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := loadVocabulary(fstest.MapFS{"vocabulary/xx.toml": {Data: []byte(tt.file)}}, "xx")
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want an error with %q", err, tt.want)
			}
		})
	}
}

// Every decimal digit that Unicode knows is read; the values of the first and
// last digit of some scripts are from the Unicode code charts.
func TestDigitsOfAllScripts(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if unicode.Is(unicode.Nd, r) {
			if got := foldRune(r); got < '0' || got > '9' {
				t.Errorf("foldRune(%U) = %q, want a digit", r, got)
			}
		}
	}
	for r, want := range map[rune]rune{'٠': '0', '٩': '9', '۰': '0', '۴': '4', '०': '0', '९': '9', '๐': '0', '๙': '9',
		'０': '0', '９': '9',
		'᠐': '0', '၀': '0', '𝟎': '0', '𝟗': '9', '𝟘': '0', '𝟡': '9', '𝟿': '9'} {
		if got := foldRune(r); got != want {
			t.Errorf("foldRune(%q) = %q, want %q", r, got, want)
		}
	}
}

// Whatever surrounds them, numbers with these units are never percentages.
func TestUnitsAreNeverPercentages(t *testing.T) {
	for tag := range vocabularies() {
		for word := range wordsOf(tag).units {
			for _, text := range []string{"32 " + word, "32" + word, "32.4 " + word, "I have 32 " + word + " now"} {
				if r := Parse(text, Context{Cylinders: 1, Language: tag}); len(r.Readings) > 0 || r.AirPoint.Known() {
					t.Errorf("%s: Parse(%q) = %+v, want no reading", tag, text, r)
				}
			}
		}
	}
}

// Whatever depth, pressure or time comes before or after it, a number of
// another quantity is never a percentage in any language.
func TestOtherQuantitiesAreNeverPercentages(t *testing.T) {
	for tag, v := range vocabularies() {
		for word, c := range v.words {
			if c != other {
				continue
			}
			for _, text := range []string{word + " 32", word + " 32.4", word + ": 32"} {
				if r := Parse(text, Context{Cylinders: 1, Language: tag}); len(r.Readings) > 0 || r.AirPoint.Known() {
					t.Errorf("%s: Parse(%q) = %+v, want no reading", tag, text, r)
				}
			}
		}
	}
}

// No name of a blend is a reading, however it is typed.
func TestBlendsAreNeverReadings(t *testing.T) {
	for tag := range vocabularies() {
		for word, c := range wordsOf(tag).words {
			if c == blend || c == ordered || c == same {
				blendIsNoReading(t, tag, word)
			}
		}
	}
}

func blendIsNoReading(t *testing.T, tag, word string) {
	t.Helper()
	for _, n := range []string{"21", "28", "32", "36", "40"} {
		for _, text := range []string{word + " " + n, word + n, strings.ToUpper(word) + " " + n, word + " " + n + "%",
			"the " + word + " " + n} {
			if r := Parse(text, Context{Cylinders: 2, Language: tag}); len(r.Readings) > 0 || r.AirPoint.Known() {
				t.Errorf("%s: Parse(%q) = %+v, want no reading", tag, text, r)
			}
		}
	}
}

// Every number in words from 20 to 40 is read in every language that writes
// numbers as words, with each decimal; and so is every numeral of Han.
func TestSpokenNumbers(t *testing.T) {
	for tag, v := range vocabularies() {
		digit := map[int]string{}
		for w, n := range v.numbers {
			if n < 10 && (digit[n] == "" || w < digit[n]) {
				digit[n] = w
			}
		}
		for w, n := range v.numbers {
			if n < 20 || n > 40 {
				continue
			}
			for point := range v.point {
				for d, word := range digit {
					text := w + " " + point + " " + word
					want := gas.Percent(float64(n) + float64(d)/10)
					r := Parse(text, Context{Cylinders: 1, Language: tag})
					if len(r.Readings) != 1 || r.Readings[0].Percent != want {
						t.Errorf("%s: Parse(%q) = %s, want %v", tag, text, describe(r), float64(want))
					}
				}
			}
		}
	}
}

// A label of the person is never taken for a percentage.
func TestLabelsAreNeverReadings(t *testing.T) {
	for n := 1; n <= 60; n++ {
		label := strings.TrimSpace(strings.Repeat(" ", 1) + itoa(n))
		ctx := Context{Labels: []string{label}, Cylinders: 1}
		if r := Parse(label, ctx); len(r.Readings) > 0 {
			t.Errorf("Parse(%q) with that label = %+v, want no reading", label, r)
		}
		r := Parse(label+": 32.4", ctx)
		if len(r.Readings) != 1 || r.Readings[0].Label != label || r.Readings[0].Percent != 32.4 {
			t.Errorf("Parse(%q: 32.4) = %+v, want 32.4 for it", label, r)
		}
	}
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + itoa(n%10)
}

func TestDepth(t *testing.T) {
	tests := []struct {
		text string
		unit gas.Unit
		want gas.Depth
	}{
		{"30m", gas.Feet, gas.M(30)},
		{"33,5 m", gas.Metres, gas.M(33.5)},
		{"33.5", gas.Metres, gas.M(33.5)},
		{"30", gas.Feet, gas.Ft(30)},
		{"110ft", gas.Metres, gas.Ft(110)},
		{"110 feet", gas.Metres, gas.Ft(110)},
		{"110'", gas.Metres, gas.Ft(110)},
		{"30 Metres.", gas.Feet, gas.M(30)},
		{"thirty metres", gas.Feet, gas.M(30)},
		{"٣٠ m", gas.Feet, gas.M(30)},
		{"100 m", gas.Metres, gas.M(100)},
		{"32,36", gas.Metres, gas.M(32.36)},
	}
	for _, tt := range tests {
		if got, err := Depth(tt.text, tt.unit); err != nil || got != tt.want {
			t.Errorf("Depth(%q, %v) = %v, %v; want %v", tt.text, tt.unit, got, err, tt.want)
		}
	}
	for _, text := range []string{"", "deep", "0", "-5", "101m", "329 ft", "30 bar", "30 %", "30 40", "30/40", "32..4",
		"30m 40m", "about 30", "3l", "1e9", "30-32"} {
		if got, err := Depth(text, gas.Metres); err == nil {
			t.Errorf("Depth(%q) = %v, want an error", text, got)
		} else if !strings.Contains(err.Error(), "accepted") {
			t.Errorf("Depth(%q): %v; want what is accepted", text, err)
		}
	}
}

func TestPercent(t *testing.T) {
	for text, want := range map[string]gas.Percent{"32.4": 32.4, "31,8 %": 31.8, "32": 32, "32 percent": 32, "٣٢٫٤": 32.4,
		"5": 5, "100%": 100, "thirty two": 32} {
		if got, err := Percent(text); err != nil || got != want {
			t.Errorf("Percent(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "EAN32", "32/68", "0.32", "4.9", "101", "32 m", "32 36", "about 32", "32..4",
		"air"} {
		if got, err := Percent(text); err == nil {
			t.Errorf("Percent(%q) = %v, want an error", text, got)
		} else if !strings.Contains(err.Error(), "accepted") {
			t.Errorf("Percent(%q): %v; want what is accepted", text, err)
		}
	}
}

func TestMinutes(t *testing.T) {
	for text, want := range map[string]float64{"40": 40, "40 min": 40, "22 minutes": 22, "22'": 0} {
		got, err := Minutes(text)
		if want == 0 {
			if err == nil {
				t.Errorf("Minutes(%q) = %v, want an error", text, got)
			}
			continue
		}
		if err != nil || got != want {
			t.Errorf("Minutes(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "0", "601", "1 h", "40 m", "soon"} {
		if got, err := Minutes(text); err == nil {
			t.Errorf("Minutes(%q) = %v, want an error", text, got)
		}
	}
}

// English stays understood whatever the language, and an unknown language is English.
func TestLanguages(t *testing.T) {
	for _, language := range []string{"", "en", "en-GB", "xx", "pt-BR"} {
		if r := Parse("thirty two point four percent", Context{Language: language}); len(r.Readings) != 1 ||
			r.Readings[0].Percent != 32.4 {
			t.Errorf("language %q: %+v", language, r)
		}
	}
}

func TestLongTexts(t *testing.T) {
	if r := Parse(strings.Repeat("32.4 ", 819), Context{}); len(r.Readings) > 0 || len(r.Unclear) == 0 {
		t.Errorf("800 numbers: %d readings, %d doubts; want doubts only", len(r.Readings), len(r.Unclear))
	}
	r := Parse(strings.Repeat("é", 10000)+" 32.4", Context{})
	if len(r.Readings) > 0 || len(r.Unclear) != 1 || r.Unclear[0].Why != NotNumber {
		t.Errorf("20,000 bytes: %+v, want that it is no number", r)
	}
}
