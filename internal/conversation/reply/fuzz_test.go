package reply

import (
	"strconv"
	"strings"
	"testing"
	"unicode"

	"gasmuster/internal/gas"
)

// FuzzParse: whatever is typed, nothing breaks, every answer says something,
// and every number taken was typed by the person.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"32.4", "17: 32.1, 22 36.0", "both 32,0", "３２．４", "thirty two point four",
		"sorry 17 not 22", "air 20.9 on A",
		"32..4", "32/68", "no. 17-32.4", "\u202e4.23", "3️⃣2️⃣.4️⃣", "++++", "tank : : 32", "- - -", "𝟛𝟚.𝟜", "EAN32EAN36",
		"½", "۳۲٫۴٪", "a\x00b", "\xff32.4"} {
		f.Add(s, "17", "S-1", 2, "en")
	}
	for tag, s := range map[string]string{"es": "treinta y dos con cuatro, la otra 36,0",
		"fr": "l'analyseur affiche trente-deux virgule quatre",
		"de": "zweiunddreißig Komma vier, nicht 22", "it": "trentadue e quattro", "pt": "a 17 é 32,1 e a 22 é 36",
		"nl": "tweeëndertig komma een of zo",
		"ja": "17番のタンクは三十二点四です、20点30", "zh": "两个都是32.1，不是百分之三十二", "ar": "17: ٣٢٫٤ و22: اثنان وثلاثون فاصلة أربعة"} {
		f.Add(s, "17", "22", 2, tag)
	}
	f.Fuzz(func(t *testing.T, text, label, other string, n int, tag string) {
		ctx := Context{Language: tag, Labels: []string{label, other}, Analysers: []string{"A", "2"}, Cylinders: n % 7,
			Asked: []gas.Percent{32, 21}}
		r := Parse(text, ctx)
		checkSays(t, text, r)
		for _, x := range r.Readings {
			checkTyped(t, text, x.Percent, tag)
		}
		if r.AirPoint.Known() {
			checkTyped(t, text, r.AirPoint, tag)
		}
	})
}

func checkSays(t *testing.T, text string, r Result) {
	t.Helper()
	said := len(r.Readings) > 0 || len(r.Unclear) > 0 || r.Intent != None || r.Label != "" || r.Analyser != "" ||
		r.AirPoint.Known() || r.Correction || r.MoveTo != ""
	if !said {
		t.Errorf("Parse(%q) says nothing: %+v", text, r)
	}
	for _, d := range r.Unclear {
		if d.Why == "" || len([]rune(d.Text)) > 80 {
			t.Errorf("Parse(%q): doubt %+v", text, d)
		}
	}
}

// checkTyped: a percentage is from 5 to 100 and its digits stand in the text,
// unless it was written in words.
func checkTyped(t *testing.T, text string, p gas.Percent, tag string) {
	t.Helper()
	if p < 5 || p > 100 {
		t.Errorf("Parse(%q): %v is no percentage from 5 to 100", text, p)
	}
	if hasNumberWord(text, tag) {
		return
	}
	digits := strings.Map(onlyDigits, strconv.FormatFloat(float64(p), 'f', -1, 64))
	if !strings.Contains(strings.Map(onlyDigits, fold(text)), digits) {
		t.Errorf("Parse(%q): %v was not typed", text, p)
	}
}

func onlyDigits(r rune) rune {
	if unicode.IsDigit(r) {
		return r
	}
	return -1
}

func hasNumberWord(text, tag string) bool {
	lower := lowerCase(fold(text))
	for w := range wordsOf(tag).numbers {
		if first, _, _ := strings.Cut(w, " "); strings.Contains(lower, first) {
			return true
		}
	}
	return wordsOf(tag).han && strings.ContainsFunc(lower, func(r rune) bool { return hanDigits[r] > 0 || r == '十' })
}

func FuzzQuantities(f *testing.F) {
	for _, s := range []string{"30m", "33,5 m", "110 feet", "32.4 %", "40 min", "", "-1", "1e9", "٣٠"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if d, err := Depth(text, gas.Feet); err == nil && (!d.Known() || d.Metres() > 100+1e-9) {
			t.Errorf("Depth(%q) = %v", text, d)
		}
		if p, err := Percent(text); err == nil && (p < 5 || p > 100) {
			t.Errorf("Percent(%q) = %v", text, p)
		}
		if m, err := Minutes(text); err == nil && (m <= 0 || m > 600) {
			t.Errorf("Minutes(%q) = %v", text, m)
		}
	})
}

// BenchmarkParseLong guards against texts whose cost grows faster than they do.
func BenchmarkParseLong(b *testing.B) {
	for _, unit := range []string{"32.4 ", "1", "a", "32..", "one ", "17: ", "- ", "not "} {
		b.Run(strings.TrimSpace(unit), func(b *testing.B) {
			text := strings.Repeat(unit, 4096/len(unit))
			for b.Loop() {
				Parse(text, Context{Labels: []string{"17", "S-1"}, Cylinders: 2})
			}
		})
	}
}

// BenchmarkParse is what people type most.
func BenchmarkParse(b *testing.B) {
	wordsOf("en") // loaded once
	for _, text := range []string{"32.4", "17: 31.9", "17 is 32.4 and S-1 36.1", "no, 31.4", "not diving today"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Parse(text, Context{Labels: []string{"17", "S-1"}, Analysers: []string{"A"}, Cylinders: 2})
			}
		})
	}
}
