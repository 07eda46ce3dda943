package picture

import (
	"image"
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"

	"gasmuster/internal/lettering"
)

// Enlarged is how much larger a photo is than the drawing: chats show photos
// about as wide as the phone, at the phone's own resolution.
const Enlarged = 3

// sheet draws shapes as pixels.
type sheet struct {
	canvas *vgimg.Canvas
	height float64
	look   look
}

func (d Drawing) image(colours look) image.Image {
	const points = 72 // of which one is a pixel
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(Width*Enlarged), vg.Length(d.Height*Enlarged)), vgimg.UseDPI(points),
		vgimg.UseBackgroundColor(colours.of(Card)))
	s := sheet{c, d.Height, colours}
	for _, shape := range d.Shapes {
		s.draw(shape)
	}
	return c.Image()
}

// at is a place on the canvas, where y grows upwards.
func (s sheet) at(p Point) vg.Point {
	return vg.Point{X: vg.Length(p.X * Enlarged), Y: vg.Length((s.height - p.Y) * Enlarged)}
}

func (s sheet) draw(d Shape) {
	s.canvas.SetColor(s.look.of(d.Role))
	if d.Text != "" {
		s.write(d)
		return
	}
	var path vg.Path
	for i, p := range d.Points {
		if i == 0 {
			path.Move(s.at(p))
		} else {
			path.Line(s.at(p))
		}
	}
	if d.Stroke == 0 {
		path.Close()
		s.canvas.Fill(path)
		return
	}
	var dashes []vg.Length
	if d.Dashed {
		dashes = []vg.Length{6 * Enlarged, 4 * Enlarged}
	}
	s.canvas.SetLineWidth(vg.Length(d.Stroke * Enlarged))
	s.canvas.SetLineDash(dashes, 0)
	s.canvas.Stroke(path)
}

func (s sheet) write(d Shape) {
	line := lettering.Set(d.Text, d.Bold, d.RTL)
	pen := &pathPen{sheet: s, from: d.Points[0], turned: d.Turned}
	switch d.Anchor {
	case "middle":
		pen.from.X -= line.Width * d.Size / 2
	case "end":
		pen.from.X -= line.Width * d.Size
	}
	line.Draw(pen, d.Size)
	s.canvas.Fill(pen.path)
}

// pathPen makes a path of letters, turned to read downwards where they are.
type pathPen struct {
	sheet  sheet
	from   Point
	turned bool
	path   vg.Path
}

func (p *pathPen) at(x, y float64) vg.Point {
	if p.turned {
		return p.sheet.at(Point{p.from.X + y, p.from.Y + x})
	}
	return p.sheet.at(Point{p.from.X + x, p.from.Y - y})
}

func (p *pathPen) Move(x, y float64) { p.path.Move(p.at(x, y)) }
func (p *pathPen) Line(x, y float64) { p.path.Line(p.at(x, y)) }
func (p *pathPen) Curve(x1, y1, x2, y2, x3, y3 float64) {
	p.path.CubeTo(p.at(x1, y1), p.at(x2, y2), p.at(x3, y3))
}

// of is the colour of a role.
func (l look) of(r Role) color.Color {
	return map[Role]color.Color{Ink: l.ink, Soft: l.soft, Act: l.act, Alarm: l.alarm, Card: l.card}[r]
}
