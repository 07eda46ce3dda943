package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

var metres = message.Reader{Language: "en", Units: "m"}

func m(v float64) gas.Depth { return gas.Depth{Value: v, Unit: gas.Metres} }

// row is a cylinder whose MOD is that of its reading at 1.4, rounded down:
// MOD = (1.4 / FO2 - 1) x 10 m (NOAA Diving Manual; metres common practice).
func row(name, label string, o2 gas.Percent, mod float64, fit message.Fit) message.PictureRow {
	r := message.PictureRow{Name: message.Name(name), Cylinder: message.Say("leader.cylinder", message.Args{"label": message.Name(label)}), Fit: fit}
	if fit != message.FitUnknown {
		r.Reading, r.MOD = o2, m(mod)
	}
	return r
}

func picture(rows ...message.PictureRow) message.Picture {
	return message.Picture{Planned: m(30), Bottom: m(36), Rows: rows,
		Title: message.Say("chart.title", message.Args{"dive": message.Count(1), "site": message.Name("Anvil Ledge")})}
}

// charter is a group of n cylinders, an eighth of each kind but the last.
func charter(n int, names ...string) message.Picture {
	p := picture()
	for i := range n {
		name, label := names[i%len(names)], fmt.Sprint(17+i)
		switch {
		case i < n/8+1:
			p.Rows = append(p.Rows, row(name, label, 36.2, 28, message.FitDeep))
		case i < n/4+1:
			p.Rows = append(p.Rows, row(name, label, 0, 0, message.FitUnknown))
		case i < n/2:
			p.Rows = append(p.Rows, row(name, label, 32, 33, message.FitLimit))
		case i%5 == 0:
			p.Rows = append(p.Rows, row(name, label, 21, 56, message.FitGood))
		default:
			p.Rows = append(p.Rows, row(name, label, 30.4, 36, message.FitGood))
		}
	}
	return p
}

var divers = []string{"Tomasz", "Marit", "Yusuf", "Aoife", "Kenji", "Lucía", "Nils", "Inês"}

// drawn draws, looks at every sheet, and keeps them in $SHOTS to be looked at.
func drawn(t testing.TB, p message.Picture, to message.Reader) ([]Sheet, []image.Image) {
	t.Helper()
	sheets, err := Draw(message.New(), p, to)
	if err != nil {
		t.Fatal(err)
	}
	var images []image.Image
	for i, s := range sheets {
		img, err := png.Decode(bytes.NewReader(s.PNG))
		if err != nil {
			t.Fatal(err)
		}
		if w, h := img.Bounds().Dx(), img.Bounds().Dy(); w != Width || h > MaxHeight || h < 200 {
			t.Errorf("sheet %d is %d by %d, want %d by at most %d", i+1, w, h, Width, MaxHeight)
		}
		if n := len(utf16.Encode([]rune(s.Caption))); n == 0 || n > MaxCaption || !utf8.ValidString(s.Caption) {
			t.Errorf("sheet %d: a caption of %d units: %q", i+1, n, s.Caption)
		}
		images = append(images, img)
		if dir := os.Getenv("SHOTS"); dir != "" {
			name := fmt.Sprintf("%s/%s-%d.png", dir, strings.ReplaceAll(t.Name(), "/", "-"), i+1)
			if err := os.WriteFile(name, s.PNG, 0o644); err != nil {
				t.Error(err)
			}
		}
	}
	return sheets, images
}

func same(a, b color.Color) bool {
	r, g, bl, _ := a.RGBA()
	r2, g2, b2, _ := b.RGBA()
	return r == r2 && g == g2 && bl == b2
}

// reach is how deep the last pixel of a colour lies in a row of pixels that
// begin at the surface with a bar of it; 0 when none does.
func reach(img image.Image, c color.Color, y int, scale float64) float64 {
	if !same(img.At(margin+8, y), c) || !same(img.At(margin+200, y), c) {
		return 0
	}
	x := margin + 200
	for x < Width && same(img.At(x, y), c) {
		x++
	}
	return float64(x-margin) / scale
}

// A bar ends at its MOD, measured against the same scale as the depths' lines.
func TestBarsEndAtTheirMOD(t *testing.T) {
	p := picture(row("Tomasz", "17", 36.2, 28, message.FitDeep), row("Marit", "18", 31, 35, message.FitGood))
	_, images := drawn(t, p, metres)
	img := images[0]
	scale := float64(Width-2*margin) / p.Deepest(gas.Metres)
	for _, c := range []struct {
		fit  message.Fit
		want float64
	}{{message.FitDeep, 28}, {message.FitGood, 35}} {
		deepest := 0.0
		for y := range img.Bounds().Dy() {
			deepest = max(deepest, reach(img, day.of(c.fit), y, scale))
		}
		if off := deepest - c.want; off < -0.3 || off > 0.3 {
			t.Errorf("%s: the bar ends at %.2f m, want %v", c.fit, deepest, c.want)
		}
	}
	for _, depth := range []float64{30, 36} { // the lines, below the last bar
		x, y := margin+int(depth*scale), img.Bounds().Dy()-margin+4
		dark := 0
		for dy := range margin / 2 {
			if same(img.At(x, y-dy), day.ink) {
				dark++
			}
		}
		if dark == 0 {
			t.Errorf("no line at %v m", depth)
		}
	}
}

// A MOD beyond the scale goes to the edge and no further.
func TestABarBeyondTheScaleStaysInside(t *testing.T) {
	_, images := drawn(t, picture(row("Yusuf", "19", 21, 56, message.FitGood)), metres)
	for y := range images[0].Bounds().Dy() {
		for x := Width - margin + 6; x < Width; x++ {
			if !same(images[0].At(x, y), day.card) {
				t.Fatalf("something is drawn at %d, %d, beyond the edge", x, y)
			}
		}
	}
}

// Every kind of picture is looked at for its sizes; SHOTS=DIR keeps them.
func TestSheets(t *testing.T) {
	bottomless, shallow, night := charter(8, divers...), charter(8, divers...), charter(8, divers...)
	bottomless.Bottom = gas.Depth{}
	shallow.Planned, shallow.Bottom = m(3), m(90)
	night.Dark = true
	longTitle := charter(8, divers...)
	longTitle.Title = message.Say(longTitle.Title.Key, message.Args{"dive": message.Count(2), "site": message.Name(strings.Repeat("Lime Kiln Wall and ", 4))})
	for name, c := range map[string]struct {
		p      message.Picture
		to     message.Reader
		sheets int
	}{
		"charter":            {charter(8, divers...), metres, 1},
		"night in feet":      {night, message.Reader{Language: "en", Units: "ft"}, 1},
		"bottomless":         {bottomless, metres, 1},
		"far deeper bottom":  {shallow, metres, 1},
		"long site":          {longTitle, metres, 1},
		"45 divers":          {charter(45, divers...), message.Reader{Language: "de"}, 3},
		"45 with two":        {charter(90, divers...), message.Reader{Language: "fr", Units: "m"}, 5},
		"a picture's limits": {charter(360, divers...), metres, maxSheets},
		"nobody":             {picture(), metres, 0},
	} {
		t.Run(name, func(t *testing.T) {
			sheets, images := drawn(t, c.p, c.to)
			if len(sheets) != c.sheets {
				t.Errorf("%d sheets, want %d", len(sheets), c.sheets)
			}
			for i, img := range images {
				if want := lookOf(c.p).card; !same(img.At(2, 2), want) {
					t.Errorf("sheet %d: ground %v, want %v", i+1, img.At(2, 2), want)
				}
			}
		})
	}
}

// Every row stands on one sheet, in order, until there are too many: then the
// last one says how many are missing.
func TestRowsAreSharedOut(t *testing.T) {
	for _, n := range []int{1, 8, 19, 20, 21, 45, 90, 360} {
		p := charter(n, divers...)
		w := newWriter(message.New(), p, metres)
		plans, left := w.split(p)
		next := 0
		for _, pl := range plans {
			if pl.first != next || len(pl.rows) == 0 {
				t.Errorf("%d rows: a sheet begins at %d with %d rows, want %d", n, pl.first, len(pl.rows), next)
			}
			next += len(pl.rows)
		}
		if next+left != n {
			t.Errorf("%d rows: %d drawn and %d left out", n, next, left)
		}
		if (left > 0) != (n == 360) {
			t.Errorf("%d rows: %d left out", n, left)
		}
	}
	p := charter(360, divers...)
	w := newWriter(message.New(), p, metres)
	plans, left := w.split(p)
	last := w.caption(p, plans[maxSheets-1], maxSheets, maxSheets, left)
	if want := fmt.Sprint("Not drawn, see the board: ", left); !strings.HasSuffix(last, want) {
		t.Errorf("the last caption doesn't end with %q: %q", want, last)
	}
}

// Names that the fonts can't write are called by number, and the number is
// explained under the picture in the reader's own letters.
func TestNamesInOtherScripts(t *testing.T) {
	p := picture(row("健二", "17", 36.2, 28, message.FitDeep), row("Łukasz", "18", 32, 33, message.FitLimit),
		row("عائشة", "19", 30.4, 36, message.FitGood), row("Оксана", "緑", 0, 0, message.FitUnknown))
	for _, lang := range []string{"en", "ja", "ar"} {
		to := message.Reader{Language: lang, Units: "m"}
		w := newWriter(message.New(), p, to)
		var got []bool
		for i, r := range w.rows {
			got = append(got, r.byNumber)
			if !drawable(r.text) {
				t.Errorf("%s: %q can't be drawn", lang, r.text)
			}
			if r.byNumber && !strings.Contains(r.text, fmt.Sprint(i+1)) {
				t.Errorf("%s: %q has no number", lang, r.text)
			}
		}
		if want := []bool{true, false, true, true}; !cmp.Equal(got, want) {
			t.Errorf("%s: by number %v, want %v", lang, got, want)
		}
		sheets, _ := drawn(t, p, to)
		for _, name := range []string{"健二", "عائشة", "Оксана", "緑"} {
			if !strings.Contains(sheets[0].Caption, name) {
				t.Errorf("%s: the caption doesn't say who %s is: %q", lang, name, sheets[0].Caption)
			}
		}
	}
}

// The numbers of a row are never cut, however long the name.
func TestLongNamesLeaveTheNumbersWhole(t *testing.T) {
	name := strings.Repeat("Maria da Conceição ", 5)
	p := picture(row(name, "17", 36.2, 28, message.FitDeep), row("Bo", strings.Repeat("M", 80), 32, 33, message.FitLimit))
	w := newWriter(message.New(), p, metres)
	for i, want := range []string{"Maria da", "No. 2"} {
		text := w.rows[i].text
		if !strings.HasPrefix(text, want) || !strings.Contains(text, " %, MOD ") || !strings.HasSuffix(text, " m") {
			t.Errorf("row %d: %q", i+1, text)
		}
		if got, most := width(text, face(false, rowTyp)), Width-2*margin-symbolRoom; float64(got) > float64(most) {
			t.Errorf("row %d is %v wide, at most %d fit", i+1, got, most)
		}
	}
}

func TestCaptionSaysTheSame(t *testing.T) {
	sheets, _ := drawn(t, charter(8, divers...), metres)
	want := strings.Join([]string{"Dive 1, Anvil Ledge: MOD of each cylinder against the depths", "Planned 30 m", "Bottom 36 m",
		"✕ planned too deep for it: Tomasz and Marit", "? no reading: Yusuf", "▲ fits with a limit: Aoife", "✓ fits the depths: 4"}, "\n")
	if got := sheets[0].Caption; got != want {
		t.Error(cmp.Diff(want, got))
	}
}

// Captions fit in every language even when everything is as long as it may be
// and nothing can be drawn.
func TestCaptionsFit(t *testing.T) {
	p := charter(60, strings.Repeat("健", 80))
	for i := range p.Rows {
		p.Rows[i].Cylinder = message.Say(p.Rows[i].Cylinder.Key, message.Args{"label": message.Name(strings.Repeat("緑", 40))})
	}
	p.Title = message.Say(p.Title.Key, message.Args{"dive": message.Count(1), "site": message.Name(strings.Repeat("礁", 80))})
	for _, lang := range message.Languages() {
		w := newWriter(message.New(), p, message.Reader{Language: lang, Units: "m"})
		plans, left := w.split(p)
		for i, pl := range plans {
			text := w.caption(p, pl, i+1, len(plans), left)
			if n := len(utf16.Encode([]rune(text))); n > MaxCaption || strings.HasSuffix(text, "\n…") || strings.Count(text, "健…") != len(pl.rows) {
				t.Errorf("%s: caption %d has %d units or doesn't say who each of %d is", lang, i+1, n, len(pl.rows))
			}
		}
	}
	if got := cut(strings.Repeat("x", 1000) + "\n" + strings.Repeat("y", 100)); got != strings.Repeat("x", 1000)+"\n…" {
		t.Errorf("cut at %d", len(got))
	}
}

// Whatever people are called, something is drawn and said of them.
func FuzzDraw(f *testing.F) {
	f.Add("Tomasz", "17", "Anvil Ledge", 36.2, 28.0, 30.0, 34.0, uint8(2), "en")
	f.Add("健二", "\u202e%", "e\u0301\u0301\u0301\u0301", 0.0, -1.0, 0.1, 0.0, uint8(200), "ar")
	f.Add("👩🏽‍🚀", "", "", 21.0, 1e300, 1e-300, 1e300, uint8(70), "fr")
	f.Fuzz(func(t *testing.T, name, label, site string, o2, mod, planned, bottom float64, n uint8, lang string) {
		p := picture()
		p.Title = message.Say(p.Title.Key, message.Args{"dive": message.Count(1), "site": message.Name(site)})
		p.Planned, p.Bottom = m(planned), m(bottom)
		for i := range int(n) % 100 {
			p.Rows = append(p.Rows, row(name, label, gas.Percent(o2), mod, message.Fits[i%len(message.Fits)]))
		}
		if planned < 0.1 || planned > 200 || bottom > 1000 || bottom < 0 || mod < 0 || mod > 1e6 || o2 < 0 || o2 > 100 {
			return // no trip has them
		}
		drawn(t, p, message.Reader{Language: lang, Units: "m"})
	})
}

func BenchmarkDraw(b *testing.B) {
	words := message.New()
	for _, n := range []int{8, 45, 90} {
		p := charter(n, divers...)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Draw(words, p, metres); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
