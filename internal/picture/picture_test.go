package picture

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	gocmp "github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

var metres = message.Reader{Language: "en", Units: "m"}

func m(v float64) gas.Depth { return gas.Depth{Value: v, Unit: gas.Metres} }

// row is a cylinder whose diver's max is the MOD of its reading at 1.4, rounded
// down: MOD = (1.4 / FO2 - 1) x 10 m (NOAA Diving Manual; metres common practice).
func row(name, label string, o2 gas.Percent, mod float64, fit message.Fit) message.PictureRow {
	r := message.PictureRow{Name: message.Name(name),
		Cylinder: message.Say("leader.cylinder", message.Args{"label": message.Name(label)}), Fit: fit}
	if fit.Column() {
		r.Reading, r.Max = o2, m(mod)
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
		if w, h := img.Bounds().Dx(), img.Bounds().Dy(); w != Width*Enlarged || h > 1400 || h < 900 {
			t.Errorf("sheet %d is %d by %d", i+1, w, h)
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

// plotted is where the surface and the lines of a drawing lie: its soft line,
// and the ink lines across.
func plotted(t *testing.T, d Drawing) (surface float64, across []float64) {
	t.Helper()
	for _, s := range d.Shapes {
		switch {
		case len(s.Points) != 2 || s.Points[0].Y != s.Points[1].Y || math.Abs(s.Points[1].X-s.Points[0].X) < Width/2:
		case s.Role == Soft:
			surface = s.Points[0].Y
		case s.Role == Ink:
			across = append(across, s.Points[0].Y)
		}
	}
	if surface == 0 || len(across) == 0 {
		t.Fatalf("no surface or no line of the plan: %+v", d.Shapes)
	}
	return surface, across
}

// bodies are the columns: filled areas that hang from the surface.
func bodies(d Drawing, surface float64) (list []Shape) {
	for _, s := range d.Shapes {
		if s.Stroke == 0 && s.Text == "" && len(s.Points) >= 4 && s.Points[0].Y == surface {
			list = append(list, s)
		}
	}
	return list
}

func deepest(s Shape) (y float64) {
	for _, p := range s.Points {
		y = max(y, p.Y)
	}
	return y
}

func texts(d Drawing) (list []string) {
	for _, s := range d.Shapes {
		if s.Text != "" {
			list = append(list, s.Text)
		}
	}
	return list
}

// Depth grows downwards: the bottom's line lies below the plan's, and a column
// ends at its diver's max on the same scale, with the margin to the plan as a number.
func TestColumnsEndAtTheirDiversMax(t *testing.T) {
	p := picture(row("Tomasz", "17", 36.2, 28, message.FitDeep), row("Marit", "18", 31, 35, message.FitGood),
		row("Nils", "19", 34, 30, message.FitLimit))
	for _, c := range []struct {
		unit    string
		plan    float64
		max     []float64
		margins []string
	}{{"m", 30, []float64{28, 35, 30}, []string{"\u22122", "+5", "0"}},
		{"ft", 98, []float64{91, 114, 98}, []string{"\u22127", "+16", "0"}}} {
		d := Lay(message.New(), p, message.Reader{Language: "en", Units: c.unit}, true)[0]
		surface, across := plotted(t, d)
		if len(across) != 2 || across[0] <= surface || across[1] <= across[0] {
			t.Fatalf("the lines of plan and bottom lie at %v, the surface at %v", across, surface)
		}
		scale := (across[0] - surface) / c.plan
		got := bodies(d, surface)
		if len(got) != len(c.max) {
			t.Fatalf("%d columns, want %d", len(got), len(c.max))
		}
		for i, b := range got {
			if depth := (deepest(b) - surface) / scale; math.Abs(depth-c.max[i]) > 0.01 {
				t.Errorf("%s: column %d ends at %.2f, want %v", c.unit, i+1, depth, c.max[i])
			}
			if !slices.Contains(texts(d), c.margins[i]) {
				t.Errorf("%s: no margin %s in %q", c.unit, c.margins[i], texts(d))
			}
		}
		if got[0].Role != Alarm || got[1].Role != Act || got[2].Role != Card {
			t.Errorf("filled %s, %s, %s: want alarm, act and hollow", got[0].Role, got[1].Role, got[2].Role)
		}
	}
}

// A no-go never looks fit, whatever its cause and however deep its gas could
// go: it has no column, or one that ends above the plan; nor has who is not cleared.
func TestANoGoNeverLooksFit(t *testing.T) {
	for _, fit := range []message.Fit{message.FitStop, message.FitUnknown, message.FitDeep} {
		p := picture(row("Yusuf", "19", 31, 35, message.FitGood))
		p.Rows[0].Fit = fit
		d := Lay(message.New(), p, metres, false)[0]
		surface, _ := plotted(t, d)
		if got := bodies(d, surface); len(got) != 0 {
			t.Errorf("%q: a column is drawn to %v", fit, deepest(got[0]))
		}
		if strings.Contains(strings.Join(texts(d), " "), "+5") {
			t.Errorf("%q: a margin is shown", fit)
		}
	}
}

// A max beyond the scale goes to its end and no further, as an arrow.
func TestAColumnBeyondTheScaleStaysInside(t *testing.T) {
	d := Lay(message.New(), picture(row("Yusuf", "19", 21, 56, message.FitGood)), metres, false)[0]
	surface, _ := plotted(t, d)
	b := bodies(d, surface)
	if len(b) != 1 || len(b[0].Points) != 5 || deepest(b[0]) > surface+plot+0.01 {
		t.Errorf("columns %+v", b)
	}
}

// The photo shows what the shapes say: the column's colour down to its end, the
// ground below it.
func TestThePhotoShowsTheShapes(t *testing.T) {
	p := picture(row("Marit", "18", 31, 35, message.FitGood), row("Tomasz", "17", 36.2, 28, message.FitDeep))
	d := Lay(message.New(), p, metres, true)[0]
	_, images := drawn(t, p, metres)
	surface, _ := plotted(t, d)
	for i, b := range bodies(d, surface) {
		x, y := int((b.Points[0].X+4)*Enlarged), int(deepest(b)*Enlarged)
		want := []color.Color{day.act, day.alarm}[i]
		if got := images[0].At(x, y-9); !same(got, want) {
			t.Errorf("column %d: just above its end is %v, want %v", i+1, got, want)
		}
		if got := images[0].At(x, y+6); !same(got, day.card) {
			t.Errorf("column %d: just below its end is %v, want the ground", i+1, got)
		}
	}
}

// Sixteen columns stand beside each other on a phone, none over another, with
// letters that can be read at its width.
func TestSixteenDiversFitAPhone(t *testing.T) {
	for _, lang := range []string{"en", "ar"} {
		drawings := Lay(message.New(), charter(16, divers...), message.Reader{Language: lang, Units: "m"}, false)
		if len(drawings) != 1 {
			t.Fatalf("%d drawings for 16 columns, want 1", len(drawings))
		}
		surface, _ := plotted(t, drawings[0])
		b := bodies(drawings[0], surface)
		slices.SortFunc(b, func(x, y Shape) int {
			return cmp.Compare(x.Points[0].X+x.Points[1].X,
				y.Points[0].X+y.Points[1].X)
		})
		for i := 1; i < len(b); i++ {
			if left, right := min(b[i].Points[0].X, b[i].Points[1].X),
				max(b[i-1].Points[0].X, b[i-1].Points[1].X); left < right+5 {
				t.Errorf("%s: columns at %.1f and %.1f touch", lang, right, left)
			}
		}
		for _, s := range drawings[0].Shapes {
			if s.Text != "" && s.Size < 12 {
				t.Errorf("%q is written in %v", s.Text, s.Size)
			}
			for _, p := range s.Points {
				if p.X < 0 || p.X > Width || p.Y < 0 || p.Y > drawings[0].Height {
					t.Errorf("%+v lies outside", s)
				}
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
	longTitle.Title = message.Say(longTitle.Title.Key,
		message.Args{"dive": message.Count(2), "site": message.Name(strings.Repeat("Lime Kiln Wall and ", 4))})
	for name, c := range map[string]struct {
		p      message.Picture
		to     message.Reader
		sheets int
	}{
		"charter":           {charter(8, divers...), metres, 1},
		"night in feet":     {night, message.Reader{Language: "en", Units: "ft"}, 1},
		"bottomless":        {bottomless, metres, 1},
		"far deeper bottom": {shallow, metres, 1},
		"long site":         {longTitle, metres, 1},
		"sixteen":           {charter(16, divers...), metres, 1},
		"sixteen in arabic": {charter(16, "عائشة", "Tomasz", "健二"), message.Reader{Language: "ar", Units: "m"}, 1},
		"japanese": {charter(8, "健二", "さくら", "ก้อง", "राज", "Оксана"), message.Reader{Language: "ja", Units: "m"},
			1},
		"45 divers":          {charter(45, divers...), message.Reader{Language: "de"}, 3},
		"45 with two":        {charter(90, divers...), message.Reader{Language: "fr", Units: "m"}, 6},
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
	for _, n := range []int{1, 8, 16, 17, 45, 90} {
		p := picture()
		for i := range n {
			p.Rows = append(p.Rows, row("Diver", fmt.Sprint(i), 31, 35, message.FitGood))
		}
		var got []string
		for _, d := range Lay(message.New(), p, metres, false) {
			for _, s := range d.Shapes {
				if s.Turned {
					got = append(got, s.Text)
				}
			}
		}
		if len(got) != n || got[0] != "Diver · 0" || got[n-1] != fmt.Sprintf("Diver · %d", n-1) {
			t.Errorf("%d rows: %q", n, got)
		}
	}
	sheets, _ := drawn(t, charter(360, divers...), metres)
	left := 360 - maxSheets*16 // 360 rows on 23 drawings, 16 on each but the last
	if want := fmt.Sprint("Not drawn, see the board: ", left); !strings.HasSuffix(sheets[len(sheets)-1].Caption, want) {
		t.Errorf("the last caption doesn't end with %q: %q", want, sheets[len(sheets)-1].Caption)
	}
}

// A long name is cut short, the cylinder's label never.
func TestLongNamesLeaveTheLabelWhole(t *testing.T) {
	for _, name := range []string{strings.Repeat("Maria da Conceição ", 5), strings.Repeat("健", 80),
		strings.Repeat("عائشة ", 12)} {
		d := Lay(message.New(), picture(row(name, "K17", 36.2, 28, message.FitDeep)), metres, false)[0]
		for _, s := range d.Shapes {
			if s.Turned && (!strings.Contains(s.Text, "…") || !strings.HasSuffix(s.Text, " · K17") ||
				wide(s.Text, s.Size) > names+1) {
				t.Errorf("%q is %.0f long", s.Text, wide(s.Text, s.Size))
			}
		}
	}
}

func TestCaptionSaysTheSame(t *testing.T) {
	sheets, _ := drawn(t, charter(8, divers...), metres)
	want := strings.Join([]string{"Dive 1, Anvil Ledge: each diver's max against the depths", "Planned 30 m",
		"Bottom 36 m",
		"✕ planned too deep: Tomasz and Marit", "? not cleared: Yusuf", "▲ fits with a limit: Aoife",
		"✓ fits the depths: 4"}, "\n")
	if got := sheets[0].Caption; got != want {
		t.Error(gocmp.Diff(want, got))
	}
}

// Captions fit in every language even when everything is as long as it may be.
func TestCaptionsFit(t *testing.T) {
	p := charter(60, strings.Repeat("健", 80))
	p.Title = message.Say(p.Title.Key, message.Args{"dive": message.Count(1),
		"site": message.Name(strings.Repeat("礁", 80))})
	for _, lang := range message.Languages() {
		text := caption(message.New(), p, message.Reader{Language: lang, Units: "m"}, 1, 4, 4)
		if n := len(utf16.Encode([]rune(text))); n > MaxCaption || strings.HasSuffix(text, "\n…") {
			t.Errorf("%s: %d units", lang, n)
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
