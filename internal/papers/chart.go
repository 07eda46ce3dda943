package papers

import (
	"bytes"
	"fmt"
	"image/color"
	"slices"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"gasmuster/internal/blends"
	"gasmuster/internal/message"
)

func chartFont(bold bool, size float64) font.Font {
	f := font.Font{Typeface: "Go", Variant: "Sans", Size: font.Length(size)}
	if bold {
		f.Weight = 3 // golang.org/x/image/font: WeightBold
	}
	return f
}

// mark tells analyser i from others by its shape, so that no colour is needed.
func mark(i int) draw.GlyphDrawer {
	marks := [...]draw.GlyphDrawer{draw.RingGlyph{}, draw.CrossGlyph{}, draw.TriangleGlyph{}, draw.SquareGlyph{},
		draw.PlusGlyph{}, draw.PyramidGlyph{}, draw.BoxGlyph{}, draw.CircleGlyph{}}
	return marks[i%len(marks)]
}

// Chart draws how far each fill was off by the time it was analysed, a mark for
// each analyser, as PNG of 1600 by 900 points at 100 to the inch. zone is that
// of the days on its axis.
func (p Press) Chart(samples []blends.Sample, language string, zone *time.Location) ([]byte, error) {
	write, err := newLetters()
	if err != nil {
		return nil, fmt.Errorf("read the embedded font: %w", err)
	}
	say := func(key string, a message.Args) string {
		return ink(p.Words.Line(message.Say(key, a), message.Reader{Language: language}))
	}
	c := plot.New()
	c.BackgroundColor = color.White
	c.Title.Text = say("papers.chart.title", message.Args{"n": message.Count(len(samples))})
	c.X.Label.Text, c.Y.Label.Text = say("papers.chart.when", nil), say("papers.chart.off", nil)
	letter(c, write)
	c.Title.Padding, c.Legend.Top, c.Legend.Padding = vg.Points(8), true, vg.Points(4)
	c.X.Tick.Marker = plot.TimeTicks{Format: "2006-01-02\n15:04",
		Time: func(t float64) time.Time { return time.Unix(int64(t), 0).In(zone) }}
	from, to := span(samples, p.Now)
	for _, y := range []float64{-blends.Within, 0, blends.Within} {
		c.Add(across(from, to, y))
	}
	c.Y.Min, c.Y.Max = reach(samples)
	c.X.Min, c.X.Max = from, to
	if err := addMarks(c, samples, func(analyser string) string {
		if analyser == "" {
			return say("papers.chart.unnamed", nil)
		}
		return say("papers.chart.analyser", message.Args{"analyser": message.Name(analyser)})
	}); err != nil {
		return nil, err
	}
	w, err := c.WriterTo(16*vg.Inch, 9*vg.Inch, "png")
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	_, err = w.WriteTo(&b)
	return b.Bytes(), err
}

// letter sets the fonts of everything that is written on a chart.
func letter(c *plot.Plot, write text.Handler) {
	set := func(s *text.Style, bold bool, size float64) { s.Font, s.Handler = chartFont(bold, size), write }
	c.TextHandler = write
	set(&c.Title.TextStyle, true, 16)
	for _, axis := range []*plot.Axis{&c.X, &c.Y} {
		set(&axis.Label.TextStyle, false, 12)
		set(&axis.Tick.Label, false, 11)
	}
	set(&c.Legend.TextStyle, false, 11)
}

// span is the time that the axis shows, with a margin on both sides.
func span(samples []blends.Sample, now time.Time) (from, to float64) {
	if len(samples) == 0 {
		return float64(now.Add(-24 * time.Hour).Unix()), float64(now.Unix())
	}
	first, last := samples[0].At, samples[0].At
	for _, s := range samples {
		if s.At.Before(first) {
			first = s.At
		}
		if s.At.After(last) {
			last = s.At
		}
	}
	margin := max(last.Sub(first)/20, 30*time.Minute)
	return float64(first.Add(-margin).Unix()), float64(last.Add(margin).Unix())
}

// reach is what the axis of deviations shows: the tolerance at the least.
func reach(samples []blends.Sample) (low, high float64) {
	low, high = -1.5*blends.Within, 1.5*blends.Within
	for _, s := range samples {
		low, high = min(low, s.Off()-0.3), max(high, s.Off()+0.3)
	}
	return low, high
}

// across is a line over the whole width: full at zero, dashed at the tolerance.
func across(from, to, y float64) *plotter.Line {
	l := &plotter.Line{XYs: plotter.XYs{{X: from, Y: y}, {X: to, Y: y}},
		LineStyle: draw.LineStyle{Color: color.Gray{Y: 120}, Width: vg.Points(1)}}
	if y != 0 {
		l.LineStyle.Dashes = []vg.Length{vg.Points(6), vg.Points(4)}
	}
	return l
}

// addMarks adds the samples of each analyser with its mark, and the legend.
func addMarks(c *plot.Plot, samples []blends.Sample, name func(string) string) error {
	by := map[string]plotter.XYs{}
	var names []string
	for _, s := range samples {
		if by[s.Analyser] == nil {
			names = append(names, s.Analyser)
		}
		by[s.Analyser] = append(by[s.Analyser], plotter.XY{X: float64(s.At.Unix()), Y: s.Off()})
	}
	slices.Sort(names)
	for i, n := range names {
		points, err := plotter.NewScatter(by[n])
		if err != nil {
			return err
		}
		points.GlyphStyle = draw.GlyphStyle{Color: color.Black, Radius: vg.Points(4), Shape: mark(i)}
		c.Add(points)
		c.Legend.Add(name(n), points)
	}
	return nil
}
