package webchat

import (
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/picture"
)

func chart(planned, bottom float64) message.Picture {
	m := func(v float64) gas.Depth { return gas.Depth{Value: v, Unit: gas.Metres} }
	p := message.Picture{Planned: m(planned),
		Title: message.Say("chart.title", message.Args{"dive": message.Count(1), "site": message.Name("Anvil Ledge")})}
	if bottom > 0 {
		p.Bottom = m(bottom)
	}
	for _, r := range []struct {
		mod float64
		fit message.Fit
	}{{28, message.FitDeep}, {0, message.FitUnknown}, {33, message.FitLimit}, {56, message.FitGood}} {
		row := message.PictureRow{Name: message.Name("Marit <b>"), Fit: r.fit,
			Cylinder: message.Say("leader.cylinder", message.Args{"label": message.Name("17")})}
		if r.fit.Column() {
			row.Reading, row.Max = 32, m(r.mod)
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

// The page draws shape for shape what a photo shows, in every direction of writing.
func TestThePageDrawsThePicture(t *testing.T) {
	c := &Pages{Deps: Deps{Renderer: message.New()}, pages: templates()}
	for _, lang := range []string{"en", "ja", "ar"} {
		to := message.Reader{Language: lang, Units: "m"}
		p := chart(30, 36)
		want := picture.Lay(c.Renderer, p, to, false)[0]
		v := entryView{view: view{c: c, to: to}, Chart: c.chartOf(p, to)}
		drawn := c.fragment("chart", v)
		paths, texts := 0, 0
		for _, s := range want.Shapes {
			if s.Text != "" {
				texts++
			} else {
				paths++
			}
		}
		if got := strings.Count(drawn, "<path"); got != paths {
			t.Errorf("%s: %d paths, want %d", lang, got, paths)
		}
		if got := strings.Count(drawn, "<text"); got != texts || strings.Contains(drawn, "<b>") {
			t.Errorf("%s: %d texts, want %d:\n%s", lang, got, texts, drawn)
		}
	}
	if v := c.chartOf(message.Picture{}, message.Reader{}); v.Rows != nil || v.Alt != "" {
		t.Errorf("of nothing: %+v", v)
	}
}

// Whoever can't see the drawing hears all of it.
func TestThePictureInWords(t *testing.T) {
	c := &Pages{Deps: Deps{Renderer: message.New()}}
	alt := c.chartOf(chart(30, 36), message.Reader{Language: "en", Units: "m"}).Alt
	for _, want := range []string{"Anvil Ledge", "Planned 30\u00a0m", "Bottom 36\u00a0m",
		"max\u00a028\u00a0m, planned too deep", "not cleared", "max\u00a033\u00a0m, fits with a limit",
		"max\u00a056\u00a0m, fits the depths"} {
		if !strings.Contains(alt, want) {
			t.Errorf("the words lack %q: %s", want, alt)
		}
	}
}
