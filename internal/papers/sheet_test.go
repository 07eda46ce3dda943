package papers

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"gasmuster/internal/roster"
)

// unprintable is what the PDF library panics on, or draws as a hole.
func unprintable() map[string]string {
	return map[string]string{
		"an emoji":                   "🤿",
		"the first beyond U+FFFF":    "\U00010000",
		"the last of all":            "\U0010FFFF",
		"a flag":                     "\U0001F1F5\U0001F1F9",
		"broken UTF-8":               "\xff\xfe",
		"a character cut off":        "\xf0\x9f\xa4",
		"half of a surrogate's pair": "\xed\xa0\x80",
		"a noncharacter":             "\uffff",
		"a null":                     "\x00",
	}
}

// ways are all by which a text comes onto a sheet.
func ways() map[string]func(*sheet, string) {
	return map[string]func(*sheet, string){
		"paragraph": func(s *sheet, text string) { s.paragraph("", 10, text) },
		"block":     func(s *sheet, text string) { s.block(margin, 40, "B", 9, text) },
		"fitted": func(s *sheet, text string) {
			s.fitted("B", 14, 8, margin, 60, 2, text)
		},
		"row": func(s *sheet, text string) {
			t := table{s: s, size: 8, columns: []column{{text, 1}, {text, 3}}}
			t.head()
			t.row(text, strings.Repeat(text+" ", 80))
		},
		"foot": func(s *sheet, text string) { s.numbered(text) },
	}
}

func TestSheetTakesAnyText(t *testing.T) {
	for what, text := range unprintable() {
		for way, draw := range ways() {
			t.Run(what+" by "+way, func(t *testing.T) {
				b, err := drawnBy(draw, "Marit "+text)
				if err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) {
					t.Errorf("got %d bytes, %v, want a document", len(b), err)
				}
			})
		}
	}
}

// drawnBy is a document of one page with a text as its title and on its page; a
// panic of the PDF library is an error here.
func drawnBy(draw func(*sheet, string), text string) (b []byte, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	s := newSheet(A4, text, dawn, press().teller(roster.NewTrip("", ""), "en"))
	s.AddPage()
	draw(s, text)
	return s.bytes()
}

// A name is drawn in its own letters and whole: no escape, no number, no other
// language's reading stands for it, and a long one takes more lines.
func TestNamesAreDrawnInTheirOwnLetters(t *testing.T) {
	for way, draw := range ways() {
		for _, name := range []string{"健二", "עמית", "عائشة", "ธนา"} {
			with, err := drawnBy(draw, name)
			if err != nil {
				t.Fatalf("%s: %v", way, err)
			}
			blank, err := drawnBy(draw, strings.Repeat("\u00a0", len([]rune(name))))
			if err != nil || strokes(with) < strokes(blank)+10 {
				t.Errorf("%s: of %s nothing is drawn: %d strokes, %d of a blank", way, name, strokes(with), strokes(blank))
			}
		}
	}
	long := strings.Repeat("Maria da Conceição ", 12)
	text := pdfText(t, func() ([]byte, error) { return drawnBy(ways()["fitted"], long) })
	if got := strings.Join(strings.Fields(text), " "); strings.Contains(got, "…") ||
		strings.Count(got, "Conceição") != 12 {
		t.Errorf("a long name is cut: %q", got)
	}
}

// strokes are the curves and letters that a document draws.
func strokes(pdf []byte) (n int) {
	for _, stream := range bytes.Split(pdf, []byte("stream\n"))[1:] {
		z, err := zlib.NewReader(bytes.NewReader(stream))
		if err != nil {
			continue
		}
		b, _ := io.ReadAll(z)
		n += bytes.Count(b, []byte(" c\n")) + bytes.Count(b, []byte(" l\n"))
	}
	return n
}

// A figure stays with its unit.
func TestFiguresAreNotTorn(t *testing.T) {
	s := newSheet(A4, "", dawn, press().teller(roster.NewTrip("", ""), "en"))
	s.AddPage()
	s.font("", 10)
	for _, l := range s.wrap(strings.Repeat("Below 33 m for 22 min with 31.2 % of it ", 30), 33) {
		for _, torn := range []string{"33", "22", "31.2"} {
			if strings.HasSuffix(l, torn) {
				t.Errorf("a line ends with %s: %q", torn, l)
			}
		}
	}
}

// The page says what its boxes stand for, and only a page that has one.
func TestAPageSaysWhatItCantPrint(t *testing.T) {
	for text, want := range map[string]bool{"Yusuf 🤿": true, "Yusuf": false, "▢ OUTSIDE THIS CHECK": false} {
		got := pdfText(t, func() ([]byte, error) { return drawnBy(ways()["paragraph"], text) })
		if strings.Contains(got, "a sign that this page can't print") != want {
			t.Errorf("%q: said %v, want %v: %q", text, !want, want, got)
		}
	}
}

// A line is not broken inside a letter with its marks, nor is a column narrower than
// a word of its head.
func TestLettersAndHeadsAreWhole(t *testing.T) {
	s := newSheet(A4, "", dawn, press().teller(roster.NewTrip("", ""), "en"))
	s.AddPage()
	s.font("", 10)
	for _, l := range s.wrap(strings.Repeat("กิ้", 60), 31) {
		if !strings.HasPrefix(l, "กิ้") || !strings.HasSuffix(l, "กิ้") {
			t.Errorf("%q is broken inside a letter", l)
		}
	}
	columns := table{s: s, size: 8, columns: []column{{"Name", 60}, {"Tauchgang", 1}, {"Gemessen", 5}, {"Bombola", 4}}}
	widths, sum := columns.widths(), 0.0
	s.font("B", 8)
	for i, c := range columns.columns {
		if sum += widths[i]; s.measure(c.head) > widths[i]-2 {
			t.Errorf("%s: %.1f mm wide, needs %.1f", c.head, widths[i], s.measure(c.head)+2)
		}
	}
	if math.Abs(sum-s.inner()) > 0.01 {
		t.Errorf("the columns are %.1f mm together, want %.1f", sum, s.inner())
	}
}
