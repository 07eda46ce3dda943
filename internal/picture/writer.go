package picture

import (
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// writer writes the words of one picture for one reader. What stands in the
// drawing is in English when the fonts have not got the reader's letters; what
// stands under it is always in the reader's language.
type writer struct {
	words *message.Renderer
	to    message.Reader
	in    message.Reader // of the drawing
	unit  gas.Unit
	title []string
	rows  []rowText
}

// rowText is how a row stands in the drawing.
type rowText struct {
	text     string
	byNumber bool // not by its name
}

func newWriter(words *message.Renderer, p message.Picture, to message.Reader) *writer {
	w := &writer{words: words, to: to, in: to, unit: unitOf(to, p)}
	lines := p.DepthLines()
	for _, f := range message.Fits {
		lines = append(lines, f.Line())
	}
	for _, l := range lines {
		if !drawable(words.Line(l, to)) {
			w.in.Language = "en"
		}
	}
	w.title = w.titleLines(p)
	for i, r := range p.Rows {
		w.rows = append(w.rows, w.row(i, r))
	}
	return w
}

func unitOf(to message.Reader, p message.Picture) gas.Unit {
	switch to.Units {
	case "ft":
		return gas.Feet
	case "m":
		return gas.Metres
	}
	return p.Planned.Unit
}

// line is a text of the drawing.
func (w *writer) line(l message.Line) string { return plain(w.words.Line(l, w.in)) }

// mostTitle is how many lines a title may take.
const mostTitle = 3

// titleLines is the title in lines that fit; one that can't be written, for
// the name of its site, is left to the words under the picture.
func (w *writer) titleLines(p message.Picture) []string {
	text := w.line(p.Title)
	if !drawable(text) {
		return nil
	}
	lines := wrap(text, face(true, titleTyp), Width-2*margin)
	if len(lines) > mostTitle {
		lines = append(lines[:mostTitle-1], clip(strings.Join(lines[mostTitle-1:], " "), face(true, titleTyp), Width-2*margin))
	}
	return lines
}

// wrap breaks a text between words; a word that is too wide is cut short.
func wrap(s string, f font.Font, most vg.Length) []string {
	var lines []string
	for _, word := range strings.Fields(s) {
		word = clip(word, f, most)
		if n := len(lines); n > 0 && width(lines[n-1]+" "+word, f) <= most {
			lines[n-1] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	return lines
}

// clip cuts a text short so that it fits.
func clip(s string, f font.Font, most vg.Length) string {
	if width(s, f) <= most {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && width(string(r)+"…", f) > most {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ") + "…"
}

// fewestRunes is how much of a name is shown at least.
const fewestRunes = 6

// row is the words of a row: who, which cylinder, reading and MOD. A long name
// is cut short, since the numbers must not be; what can't be written, or not
// in the space there is, is called by its number, from 1.
func (w *writer) row(index int, r message.PictureRow) rowText {
	if text := w.named(r); text != "" {
		return rowText{text, false}
	}
	return rowText{w.line(numbered(index, r)), true}
}

// named is a row with its name, "" when it can't be written so.
func (w *writer) named(r message.PictureRow) string {
	const most = Width - 2*margin - symbolRoom
	text := w.line(r.Short())
	if !drawable(text) {
		return ""
	}
	for name := []rune(r.Name.S); width(text, face(false, rowTyp)) > most; {
		if r.Name.Kind != message.KindName || len(name) <= fewestRunes {
			return ""
		}
		name = name[:len(name)-1]
		r.Name = message.Name(strings.TrimSpace(string(name)) + "…")
		text = w.line(r.Short())
	}
	return text
}

func numbered(index int, r message.PictureRow) message.Line {
	a := message.Args{"number": message.Count(index + 1)}
	if r.Fit == message.FitUnknown {
		return message.Say("chart.number.unknown", a)
	}
	a["percent"], a["mod"] = message.Percent(r.Reading), message.Limit(r.MOD)
	return message.Say("chart.number", a)
}
