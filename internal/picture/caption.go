package picture

import (
	"strings"
	"unicode/utf16"

	"gasmuster/internal/message"
)

// MaxCaption is how long a caption may be, in UTF-16 units.
const MaxCaption = 1024

// mostNamed is how many people a caption names of one fit; of more it gives
// the number.
const mostNamed = 6

// caption says the same as the drawing in short: the depths and how many fit
// how. The whole list of readings stands in the text that the picture comes with.
func caption(words *message.Renderer, p message.Picture, to message.Reader, part, of, shown int) string {
	lines := []message.Line{p.Title}
	if of > 1 {
		lines = append(lines, message.Say("chart.part", message.Args{"part": message.Count(part), "of": message.Count(of)}))
	}
	if part == 1 {
		lines = append(lines, p.DepthLines()...)
		lines = append(lines, fits(p)...)
	}
	if of > shown && part == shown {
		each := (len(p.Rows) + of - 1) / of
		lines = append(lines, message.Say("chart.rest", message.Args{"n": message.Count(len(p.Rows) - shown*each)}))
	}
	texts := make([]string, len(lines))
	for i, l := range lines {
		texts[i] = words.Line(l, to)
	}
	return cut(strings.Join(texts, "\n"))
}

// fits say how many cylinders fit how, and whose they are when that is of use.
func fits(p message.Picture) []message.Line {
	var lines []message.Line
	for _, f := range message.Fits {
		rows := p.Having(f)
		if len(rows) == 0 {
			continue
		}
		a := message.Args{"symbol": message.Code(f.Symbol()), "fit": message.Of(f.Line())}
		if f == message.FitGood || len(rows) > mostNamed {
			a["n"] = message.Count(len(rows))
			lines = append(lines, message.Say("chart.count", a))
			continue
		}
		var names []message.Value
		for _, r := range rows {
			names = append(names, shortened(r.Name))
		}
		a["names"] = message.List(names...)
		lines = append(lines, message.Say("chart.names", a))
	}
	return lines
}

// longest is how much of a name a caption has room for, in runes.
const longest = 24

func shortened(name message.Value) message.Value {
	if r := []rune(name.S); name.Kind == message.KindName && len(r) > longest {
		return message.Name(string(r[:longest-1]) + "…")
	}
	return name
}

// cut leaves out lines at the end of a text that is too long.
func cut(text string) string {
	if len(utf16.Encode([]rune(text))) <= MaxCaption {
		return text
	}
	for len(utf16.Encode([]rune(text+"\n…"))) > MaxCaption {
		text = text[:max(0, strings.LastIndexByte(text, '\n'))]
	}
	return text + "\n…"
}
