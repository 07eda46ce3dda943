package papers

import (
	"math"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"gasmuster/internal/lettering"
)

// letters writes on a chart in any script. The plotting library's own fonts
// leave out without a word what they don't have; only their heights are asked for.
type letters struct{ text.Plain }

// newLetters has fonts of its own, so that nothing else that draws is touched.
func newLetters() (letters, error) {
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return letters{}, err
	}
	return letters{text.Plain{Fonts: font.NewCache(font.Collection{
		{Font: chartFont(false, 0), Face: regular}, {Font: chartFont(true, 0), Face: regular}})}}, nil
}

func isBold(f font.Font) bool { return f.Weight > 0 }

// Box is how much room a text takes: right of its origin, above and below its baseline.
func (l letters) Box(txt string, f font.Font) (width, height, depth vg.Length) {
	_, height, depth = l.Plain.Box("", f)
	return vg.Length(lettering.Set(txt, isBold(f), false).Width) * f.Size, height, depth
}

// Draw writes one line with its style's turn and alignment.
func (l letters) Draw(c vg.Canvas, txt string, sty text.Style, at vg.Point) {
	line := lettering.Set(txt, isBold(sty.Font), false)
	sin, cos := math.Sincos(sty.Rotation)
	if sty.Rotation != 0 {
		c.Push()
		defer c.Pop()
		c.Rotate(sty.Rotation)
	}
	at.X, at.Y = at.Y*vg.Length(sin)+at.X*vg.Length(cos), at.Y*vg.Length(cos)-at.X*vg.Length(sin)
	_, height, _ := l.Plain.Box("", sty.Font)
	at.X += vg.Length(sty.XAlign) * vg.Length(line.Width) * sty.Font.Size
	at.Y += sty.Height(txt)*vg.Length(sty.YAlign) - height + sty.Font.Size
	pen := &chartPen{at: at}
	line.Draw(pen, float64(sty.Font.Size))
	c.SetColor(sty.Color)
	c.Fill(pen.path)
}

type chartPen struct {
	at   vg.Point
	path vg.Path
}

func (p *chartPen) point(x, y float64) vg.Point {
	return vg.Point{X: p.at.X + vg.Length(x), Y: p.at.Y + vg.Length(y)}
}

func (p *chartPen) Move(x, y float64) { p.path.Move(p.point(x, y)) }
func (p *chartPen) Line(x, y float64) { p.path.Line(p.point(x, y)) }
func (p *chartPen) Curve(x1, y1, x2, y2, x3, y3 float64) {
	p.path.CubeTo(p.point(x1, y1), p.point(x2, y2), p.point(x3, y3))
}
