package lettering

import (
	"compress/gzip"
	"io"
	"math"
	"sync"
	"testing"
	"testing/fstest"
)

// names are one in each script that the service's people may be called in.
var names = map[string]string{
	"latin": "Inês", "vietnamese": "Nguyễn Thị Hường", "greek": "Ελένη", "cyrillic": "Оксана", "japanese": "健二 さくら サクラ",
	"chinese":     "李雷",
	"traditional": "陳麗華", "korean": "김민준", "arabic": "عائشة، ٣", "persian": "نگار می\u200cرود", "hebrew": "יעל",
	"thai": "ก้องภพ", "hindi": "राजेश क्षत्रिय।",
	"bengali": "শ্রেয়া", "tamil": "கார்த்திக்", "telugu": "శ్రీను", "kannada": "ಕೃಷ್ಣ", "malayalam": "ശ്രീജ",
	"gujarati": "કૃષ્ણ", "punjabi": "ਗੁਰਪ੍ਰੀਤ",
	"sinhala": "ක්\u200dරිෂාන්", "khmer": "សុខា", "lao": "ສົມພອນ", "burmese": "မြင့်", "georgian": "ნინო",
	"armenian": "Անի", "amharic": "ዓለሙ", "dhivehi": "އައިޝަތު", "odia": "ଶ୍ରୀଯା", "tibetan": "བསྟན་འཛིན",
	"syriac": "ܡܪܝܡ", "cherokee": "ᏣᎳᎩ", "nko": "ߒߞߏ", "tamazight": "ⵎⴰⵙⵉⵏ",
	"inuktitut": "ᐃᓄᒃ", "mongolian": "ᠮᠣᠩ", "javanese": "ꦱꦫꦶ", "balinese": "ᬩᬮᬶ",
}

// Every name is set with letters that a font has, regular and bold.
func TestEveryScriptIsWritten(t *testing.T) {
	for script, name := range names {
		if m := Missing(name); len(m) > 0 {
			t.Errorf("%s: no font has %q", script, m)
		}
		for _, bold := range []bool{false, true} {
			if l := Set(name, bold, false); l.Width <= 0 || len(l.paths) < 10 {
				t.Errorf("%s: %.2f wide, %d strokes", script, l.Width, len(l.paths))
			}
		}
	}
	if m := Missing("Yusuf 🦈"); len(m) != 1 {
		t.Errorf("missing of an emoji: %q", m)
	}
}

// spread are the ends of what a line draws.
type spread struct{ left, right, low, high float64 }

func (s *spread) Move(x, y float64) { s.Line(x, y) }
func (s *spread) Line(x, y float64) {
	s.left, s.right, s.low, s.high = math.Min(s.left, x), math.Max(s.right, x), math.Min(s.low, y), math.Max(s.high, y)
}
func (s *spread) Curve(_, _, _, _, x, y float64) { s.Line(x, y) }

func drawn(text string) spread { return drawnIn(text, false) }

func drawnIn(text string, rtl bool) spread {
	s := spread{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	Set(text, false, rtl).Draw(&s, 1)
	return s
}

// A line is as wide as what it draws, and stands on its baseline.
func TestALineIsWhereItSays(t *testing.T) {
	for script, name := range names {
		l, s := Set(name, false, false), drawn(name)
		if s.left < -0.3 || s.right > l.Width+0.3 || s.right < l.Width*0.7 || s.low > 0.15 || s.low < -1 || s.high < 0.4 ||
			s.high > 1.6 {
			t.Errorf("%s: drawn %+v, %.2f wide", script, s, l.Width)
		}
	}
}

// Letters of Arabic join: a word is narrower than its letters apart, and marks
// that only direct others take no room.
func TestLettersAreShaped(t *testing.T) {
	if joined, apart := Set("سمك", false, false).Width, Set("س", false, false).Width+Set("م", false, false).Width+Set("ك",
		false, false).Width; joined >= apart*0.9 {
		t.Errorf("joined %.2f, apart %.2f", joined, apart)
	}
	if with, without := Set("\u2067سمك\u2069\u200f", false, false).Width, Set("سمك", false, false).Width; with != without {
		t.Errorf("%.3f with marks, %.3f without", with, without)
	}
}

// A number in a text from right to left stands where its reader expects it: the
// first word at the right.
func TestRightToLeft(t *testing.T) {
	whole := drawnIn("سمك 17", true)
	word := Set("سمك", false, false).Width
	if first := Set("سمك 17", false, true); first.Width < word || whole.right > first.Width+0.1 {
		t.Errorf("%+v", whole)
	}
	// What is drawn first, from the left, is the number: digits are as high as capitals, and end before the word begins.
	var left spread
	left.low, left.left = math.Inf(1), math.Inf(1)
	Set("سمك 17", false, true).Draw(&stopAt{spread: &left, x: Set("17", false, false).Width + 0.05}, 1)
	if left.high < 0.65 || left.low < -0.1 {
		t.Errorf("at the left stands something else than 17: %+v", left)
	}
}

// stopAt sees only what lies left of x.
type stopAt struct {
	*spread
	x float64
}

func (s *stopAt) Move(x, y float64) { s.Line(x, y) }
func (s *stopAt) Line(x, y float64) {
	if x <= s.x {
		s.spread.Line(x, y)
	}
}
func (s *stopAt) Curve(_, _, _, _, x, y float64) { s.Line(x, y) }

// Bold is heavier in every script, struck twice where no font has it.
func TestBoldIsHeavier(t *testing.T) {
	for script, name := range names {
		regular, bold := Set(name, false, false), Set(name, true, false)
		twice := len(bold.paths) >= 2*len(regular.paths)*9/10
		if usual := Usual(name); usual && bold.Width <= regular.Width || !usual && !twice && script != "vietnamese" {
			t.Errorf("%s: %d strokes bold, %d regular", script, len(bold.paths), len(regular.paths))
		}
	}
}

// Many papers are printed at once.
func TestTogether(t *testing.T) {
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for _, name := range names {
				Set(name, true, false)
				Usual(name)
			}
		})
	}
	all.Wait()
}

// What the built-in fonts lack comes from the system's, where it has them: here a
// folder with one font in the place where Debian's package puts it.
func TestFontsOfTheSystem(t *testing.T) {
	f, err := files.Open("fonts/NotoSansThai-Regular.ttf.gz")
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	thai, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	UseInstalled(fstest.MapFS{"truetype/noto/NotoSansThai-Regular.ttf": {Data: thai},
		"truetype/noto/NotoSansLao-Regular.ttf": {Data: []byte("not a font")}})
	defer UseInstalled(nil)
	shaper.Lock()
	defer shaper.Unlock()
	for r, want := range map[rune]bool{'ก': true, 'ສ': false, 'ك': false, '𠮷': false, '🦈': false} {
		if got := installed(r); (got != nil) != want {
			t.Errorf("%c: found %v, want %v", r, got != nil, want)
		}
	}
}

// A figure with its unit keeps its order inside text that runs from right to left
// when marks say that it is a piece of its own: as wide, and the unit at its right.
func TestMarksOrderTheLetters(t *testing.T) {
	// In "سمك 25 m" without marks the m is seen at the left end; with them the 2 is.
	m, two := drawn("m"), drawn("25")
	for text, tall := range map[string]bool{"سمك 25 m": false, "سمك \u206625 m\u2069": true} {
		var left spread
		left.low, left.left = math.Inf(1), math.Inf(1)
		Set(text, false, true).Draw(&stopAt{spread: &left, x: 0.5}, 1)
		if got := left.high > (m.high+two.high)/2; got != tall {
			t.Errorf("%q: at the left a figure %v, want %v", text, got, tall)
		}
	}
}
