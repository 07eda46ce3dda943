package papers

import (
	"bytes"
	"image/png"
	"testing"
	"time"

	"gonum.org/v1/plot/font"

	"gasmuster/internal/blends"
	"gasmuster/internal/gas"
)

func samplesOf(n int, analysers ...string) []blends.Sample {
	var list []blends.Sample
	for i := range n {
		off := []gas.Percent{0.4, -0.3, 0.1, -0.8, 1.4, 0.6, -0.1}[i%7]
		list = append(list, blends.Sample{Asked: 32, Measured: 32 + off, Analyser: analysers[i%len(analysers)],
			At: dawn.Add(time.Duration(i*37) * time.Minute)})
	}
	return list
}

// dark counts the pixels that something is drawn on.
func dark(t *testing.T, b []byte) int {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for x := range img.Bounds().Dx() {
		for y := range img.Bounds().Dy() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				n++
			}
		}
	}
	return n
}

func TestChart(t *testing.T) {
	none, err := press().Chart(nil, "en", time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	for name, samples := range map[string][]blends.Sample{
		"one": samplesOf(1, "A"), "many": samplesOf(60, "A", "B", ""),
		"nine analysers":             samplesOf(60, "1", "2", "3", "4", "5", "6", "7", "8", "9"),
		"a name that can't be drawn": samplesOf(3, "健二 🤿\x00"), "far off": {{Asked: 32, Measured: 99, At: dawn}}} {
		b, err := press().Chart(samples, "en", time.UTC)
		if err != nil || dark(t, b) <= dark(t, none) {
			t.Errorf("%s: %v, or no more is drawn than without readings", name, err)
		}
	}
	english := dark(t, none)
	for _, language := range []string{"ja", "pt", "xx"} {
		b, err := press().Chart(nil, language, time.UTC)
		if n := dark(t, b); err != nil || n < english*8/10 {
			t.Errorf("%s: %d dark pixels of %d in English, %v: words are missing", language, n, english, err)
		}
	}
}

// The plotting library's fonts are shared by the whole program.
func TestChartKeepsItsFontsToItself(t *testing.T) {
	if _, err := press().Chart(samplesOf(1, "A"), "en", time.UTC); err != nil {
		t.Fatal(err)
	}
	if f := chartFont(false, 0); font.DefaultCache.Has(f) {
		t.Errorf("drawing a chart put %s among the fonts that all others get", f.Name())
	}
}
