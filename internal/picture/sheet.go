package picture

import (
	"image"
	"image/color"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// sheet is a canvas on which y goes down from the top.
type sheet struct {
	canvas draw.Canvas
	height vg.Length
	look   look
	scale  vg.Length // points for each metre or foot
}

// draw draws one sheet.
func (w *writer) draw(p message.Picture, pl plan, part, of int) image.Image {
	head := w.head(p, of > 1)
	h := head + height(pl.rows) + margin
	img := vgimg.NewWith(vgimg.UseWH(Width, h), vgimg.UseDPI(72), vgimg.UseBackgroundColor(lookOf(p).card))
	s := &sheet{canvas: draw.New(img), height: h, look: lookOf(p), scale: (Width - 2*margin) / vg.Length(p.Deepest(w.unit))}
	y := w.drawTitle(s, part, of)
	w.drawDepths(s, p, y, h-margin/2)
	y = head
	for i, r := range pl.rows {
		if i == 0 || pl.rows[i-1].Fit != r.Fit {
			s.heading(w.line(r.Fit.Line()), r.Fit, y)
			y += headingHeight
		}
		s.row(w.rows[pl.first+i].text, r, y, w.unit)
		y += rowHeight(r)
	}
	return img.Image()
}

// head is the height of everything above the rows.
func (w *writer) head(p message.Picture, parts bool) vg.Length {
	h := vg.Length(margin/2) + vg.Length(len(w.title))*titleTyp*leading + 10
	if parts {
		h += labelTyp * leading
	}
	return h + vg.Length(len(p.DepthLines()))*labelTyp*leading + 8
}

// drawTitle returns where the title ends.
func (w *writer) drawTitle(s *sheet, part, of int) vg.Length {
	y := vg.Length(margin / 2)
	for _, l := range w.title {
		s.write(l, face(true, titleTyp), s.look.ink, margin, y)
		y += titleTyp * leading
	}
	if of > 1 {
		text := w.line(message.Say("chart.part", message.Args{"part": message.Count(part), "of": message.Count(of)}))
		s.write(text, face(false, labelTyp), s.look.soft, margin, y)
		y += labelTyp * leading
	}
	return y + 10
}

// drawDepths draws the planned depth as a line, and the bottom as a dashed
// one, each with its words at its upper end: the deeper one first, so that its
// words cross no line.
func (w *writer) drawDepths(s *sheet, p message.Picture, y, foot vg.Length) {
	planned := draw.LineStyle{Color: s.look.ink, Width: 4}
	bottom := planned
	bottom.Dashes = []vg.Length{14, 10}
	lines := p.DepthLines()
	if p.Bottom.Known() {
		w.drawDepth(s, bottom, lines[1], p.Bottom, y, foot)
		y += labelTyp * leading
	}
	w.drawDepth(s, planned, lines[0], p.Planned, y, foot)
}

func (w *writer) drawDepth(s *sheet, style draw.LineStyle, l message.Line, d gas.Depth, y, foot vg.Length) {
	x := margin + vg.Length(d.PlannedIn(w.unit).Value)*s.scale
	s.line(style, x, y+4, x, foot)
	text, font := w.line(l), face(true, labelTyp)
	at := x - 12 - width(text, font)
	if at < margin {
		at = x + 12
	}
	s.write(text, font, s.look.ink, at, y)
}

// write writes a text whose line begins at y, on a ground of its own so that
// no depth's line runs through it.
func (s *sheet) write(str string, f font.Font, c color.Color, x, y vg.Length) {
	s.fill(s.look.card, x-4, y, width(str, f)+8, f.Size*leading)
	s.canvas.SetColor(c)
	s.canvas.FillString(handler().Fonts.Lookup(f, f.Size), s.at(x, y+f.Size), str)
}

func (s *sheet) at(x, y vg.Length) vg.Point { return vg.Point{X: x, Y: s.height - y} }

func (s *sheet) line(style draw.LineStyle, x0, y0, x1, y1 vg.Length) {
	s.canvas.StrokeLines(style, []vg.Point{s.at(x0, y0), s.at(x1, y1)})
}

func (s *sheet) fill(c color.Color, x, y, w, h vg.Length) {
	s.canvas.FillPolygon(c, []vg.Point{s.at(x, y), s.at(x+w, y), s.at(x+w, y+h), s.at(x, y+h)})
}
