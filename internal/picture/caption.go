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

// detail is how much a caption says. The whole list of readings stands in the
// text that the picture comes with.
type detail struct {
	names     bool // of those who don't fit
	cylinders bool // beside the names of numbered rows
	longest   int  // runes of a name
}

var details = []detail{{true, true, 80}, {true, true, 24}, {false, true, 24}, {false, false, 24}, {false, false, 10}}

// caption says the same as the drawing in short, as fully as fits: the depths,
// how many fit how, and who is called by a number.
func (w *writer) caption(p message.Picture, pl plan, part, of, rest int) string {
	var text string
	for _, d := range details {
		text = w.captionOf(p, pl, part, of, rest, d)
		if len(utf16.Encode([]rune(text))) <= MaxCaption {
			return text
		}
	}
	return cut(text)
}

func (w *writer) captionOf(p message.Picture, pl plan, part, of, rest int, d detail) string {
	lines := []message.Line{p.Title}
	if of > 1 {
		lines = append(lines, message.Say("chart.part", message.Args{"part": message.Count(part), "of": message.Count(of)}))
	}
	if part == 1 {
		lines = append(lines, p.DepthLines()...)
		lines = append(lines, fits(p, d)...)
	}
	for i, r := range pl.rows {
		if w.rows[pl.first+i].byNumber {
			lines = append(lines, who(pl.first+i, r, d))
		}
	}
	if rest > 0 {
		lines = append(lines, message.Say("chart.rest", message.Args{"n": message.Count(rest)}))
	}
	texts := make([]string, len(lines))
	for i, l := range lines {
		texts[i] = w.words.Line(l, w.to)
	}
	return strings.Join(texts, "\n")
}

// fits say how many cylinders fit how, and whose they are when that is of use.
func fits(p message.Picture, d detail) []message.Line {
	var lines []message.Line
	for _, f := range message.Fits {
		rows := p.Having(f)
		if len(rows) == 0 {
			continue
		}
		a := message.Args{"symbol": message.Code(f.Symbol()), "fit": message.Of(f.Line())}
		if !d.names || f == message.FitGood || len(rows) > mostNamed {
			a["n"] = message.Count(len(rows))
			lines = append(lines, message.Say("chart.count", a))
			continue
		}
		var names []message.Value
		for _, r := range rows {
			names = append(names, shortened(r.Name, d.longest))
		}
		a["names"] = message.List(names...)
		lines = append(lines, message.Say("chart.names", a))
	}
	return lines
}

func who(index int, r message.PictureRow, d detail) message.Line {
	a := message.Args{"number": message.Count(index + 1), "name": shortened(r.Name, d.longest)}
	if !d.cylinders {
		return message.Say("chart.number.name", a)
	}
	a["cylinder"] = message.Of(r.Cylinder)
	return message.Say("chart.number.is", a)
}

func shortened(name message.Value, longest int) message.Value {
	if r := []rune(name.S); name.Kind == message.KindName && len(r) > longest {
		return message.Name(string(r[:longest-1]) + "…")
	}
	return name
}

// cut leaves out lines at the end.
func cut(text string) string {
	for len(utf16.Encode([]rune(text+"\n…"))) > MaxCaption {
		text = text[:max(0, strings.LastIndexByte(text, '\n'))]
	}
	return text + "\n…"
}
