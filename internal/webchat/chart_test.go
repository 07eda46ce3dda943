package webchat

import (
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

func chart(planned, bottom float64) message.Picture {
	m := func(v float64) gas.Depth { return gas.Depth{Value: v, Unit: gas.Metres} }
	p := message.Picture{Planned: m(planned), Title: message.Say("chart.title", message.Args{"dive": message.Count(1), "site": message.Name("Anvil Ledge")})}
	if bottom > 0 {
		p.Bottom = m(bottom)
	}
	for _, r := range []struct {
		mod float64
		fit message.Fit
	}{{28, message.FitDeep}, {0, message.FitUnknown}, {33, message.FitLimit}, {56, message.FitGood}} {
		row := message.PictureRow{Name: message.Name("Marit"), Fit: r.fit, Cylinder: message.Say("leader.cylinder", message.Args{"label": message.Name("17")})}
		if r.fit != message.FitUnknown {
			row.Reading, row.MOD = 32, m(r.mod)
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

// Bars begin where the text begins, at the left or, in a text from right to
// left, at the right, and are as long as their MOD; the lines lie at the same scale.
func TestChartFollowsTheDirectionOfTheText(t *testing.T) {
	c := &Pages{Deps: Deps{Renderer: message.New()}}
	for _, lang := range []string{"en", "ja", "ar"} {
		v := c.chartOf(chart(30, 36), message.Reader{Language: lang, Units: "m"})
		from := func(x, width int) int { return x - chartLeft }
		arrow := "→"
		if lang == "ar" {
			from = func(x, width int) int { return chartWidth - chartLeft - x - width }
			arrow = "←"
		}
		const scale = float64(chartRight-chartLeft) / (36 * 4.0 / 3)
		for i, depth := range []float64{30, 36} {
			if got, want := from(v.Lines[i].X, 0), depth*scale; float64(got) < want-1 || float64(got) > want+1 {
				t.Errorf("%s: the line of %v m lies at %d, want %.0f", lang, depth, got, want)
			}
		}
		for i, depth := range []float64{28, 0, 33, 48} { // the last one ends with the scale
			r := v.Rows[i]
			if got := from(r.BarX, r.Width); r.Known && (got != 0 || float64(r.Width) < depth*scale-1 || float64(r.Width) > depth*scale+1) {
				t.Errorf("%s: bar %d from %d, %d long, want from 0, %.0f long", lang, i, got, r.Width, depth*scale)
			}
			if got := from(r.X, 0); got != 0 {
				t.Errorf("%s: text %d begins at %d", lang, i, got)
			}
			if want := map[bool]string{true: arrow}[i == 3]; r.Beyond != want {
				t.Errorf("%s: bar %d ends with %q, want %q", lang, i, r.Beyond, want)
			}
		}
	}
}

// A depth's words stand where there is room for them, the deeper one's above.
func TestChartLabelsHaveRoom(t *testing.T) {
	c := &Pages{Deps: Deps{Renderer: message.New()}}
	v := c.chartOf(chart(5, 60), message.Reader{Language: "en", Units: "m"})
	if planned, bottom := v.Lines[0], v.Lines[1]; planned.Anchor != "start" || bottom.Anchor != "end" || bottom.Y >= planned.Y {
		t.Errorf("planned %+v, bottom %+v", planned, bottom)
	}
	if v := c.chartOf(chart(30, 0), message.Reader{Language: "en"}); len(v.Lines) != 1 || v.Lines[0].Y != 14 || strings.Contains(v.Alt, "Bottom") {
		t.Errorf("without a bottom: %+v", v.Lines)
	}
	if v := c.chartOf(message.Picture{}, message.Reader{}); v.Rows != nil || v.Alt != "" {
		t.Errorf("of nothing: %+v", v)
	}
}

// A long name is cut short, never the numbers behind it.
func TestChartKeepsNumbersWhole(t *testing.T) {
	c := &Pages{Deps: Deps{Renderer: message.New()}}
	for _, lang := range []string{"en", "de", "fr", "ar"} {
		p := chart(30, 36)
		p.Rows[0].Name = message.Name(strings.Repeat("Maria da Conceição ", 5))
		text := c.chartOf(p, message.Reader{Language: lang, Units: "m"}).Rows[0].Text
		if !strings.HasPrefix(strings.TrimLeft(text, "\u2066\u2068"), "Maria ") || !strings.Contains(text, "…") || !strings.Contains(text, "MOD") || !strings.Contains(text, "28") {
			t.Errorf("%s: %q", lang, text)
		}
	}
}
