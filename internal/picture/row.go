package picture

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// symbolRoom is what a symbol takes before the words.
const symbolRoom = 46

// heading begins the rows of one fit.
func (s *sheet) heading(words string, f message.Fit, y vg.Length) {
	y += 16
	s.symbol(f, margin, y+5, 34)
	s.write(words, face(true, rowTyp), s.look.of(f), margin+symbolRoom, y)
}

// row is one cylinder: its words, and its bar from the surface down to its MOD.
func (s *sheet) row(words string, r message.PictureRow, y vg.Length, unit gas.Unit) {
	s.write(words, face(false, rowTyp), s.look.ink, margin+symbolRoom, y)
	s.symbol(r.Fit, margin+4, y+9, 26)
	if r.Fit == message.FitUnknown {
		return
	}
	y += rowTyp*leading + 4
	long := vg.Length(r.MOD.LimitIn(unit).Value) * s.scale
	const most = Width - 2*margin
	beyond := long > most
	s.bar(r.Fit, y, min(long, most), beyond)
}

// bar is solid, or hollow where a limit holds; a MOD beyond the scale ends in
// an arrow.
func (s *sheet) bar(f message.Fit, y, long vg.Length, beyond bool) {
	x, end := vg.Length(margin), margin+long
	tip := end
	if beyond {
		end -= barHeight
	}
	shape := []vg.Point{s.at(x, y), s.at(end, y), s.at(tip, y+barHeight/2), s.at(end, y+barHeight), s.at(x, y+barHeight)}
	ground := s.look.of(f)
	if f == message.FitLimit {
		ground = s.look.card
	}
	s.canvas.FillPolygon(ground, shape)
	s.canvas.StrokeLines(draw.LineStyle{Color: s.look.ink, Width: 4}, append(shape, shape[0], shape[1]))
}

// symbol draws a fit's sign, each of its own shape, in a square.
func (s *sheet) symbol(f message.Fit, x, y, size vg.Length) {
	s.fill(s.look.card, x-2, y-2, size+4, size+4)
	at := func(dx, dy float64) vg.Point { return s.at(x+size*vg.Length(dx), y+size*vg.Length(dy)) }
	pen := draw.LineStyle{Color: s.look.of(f), Width: size / 6}
	switch f {
	case message.FitGood:
		s.canvas.StrokeLines(pen, []vg.Point{at(0.05, 0.55), at(0.38, 0.88), at(0.95, 0.15)})
	case message.FitLimit:
		s.canvas.FillPolygon(pen.Color, []vg.Point{at(0.5, 0.05), at(1, 0.95), at(0, 0.95)})
	case message.FitDeep:
		s.canvas.StrokeLines(pen, []vg.Point{at(0.08, 0.08), at(0.92, 0.92)})
		s.canvas.StrokeLines(pen, []vg.Point{at(0.08, 0.92), at(0.92, 0.08)})
	default:
		mark := f.Symbol()
		font := face(true, size*1.15)
		s.write(mark, font, pen.Color, x+(size-width(mark, font))/2, y-size*0.1)
	}
}
