package webchat

import (
	"fmt"
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/picture"
)

// chartView is the group's picture as the template draws it: the same shapes
// that go out as a photo elsewhere.
type chartView struct {
	Alt  string // says the same
	Rows []drawingView
}

type drawingView struct {
	Height float64
	Shapes []shapeView
}

// shapeView is one shape in the terms of SVG.
type shapeView struct {
	picture.Shape
	X, Y float64 // of a text
	D    string  // of a path
}

// chartOf lays a picture out; without rows there is nothing to draw.
func (c *Pages) chartOf(p message.Picture, to message.Reader) chartView {
	var v chartView
	for _, d := range picture.Lay(c.Renderer, p, to, false) {
		one := drawingView{Height: d.Height}
		for _, s := range d.Shapes {
			one.Shapes = append(one.Shapes, shapeOf(s))
		}
		v.Rows = append(v.Rows, one)
	}
	if len(v.Rows) > 0 {
		v.Alt = c.inWords(p, to)
	}
	return v
}

func shapeOf(s picture.Shape) shapeView {
	v := shapeView{Shape: s, X: s.Points[0].X, Y: s.Points[0].Y}
	var d strings.Builder
	for i, p := range s.Points {
		fmt.Fprintf(&d, "%c%.1f %.1f", "ML"[min(i, 1)], p.X, p.Y)
	}
	v.D = d.String()
	if s.Stroke == 0 {
		v.D += "Z"
	}
	return v
}

// inWords is everything that a picture shows.
func (c *Pages) inWords(p message.Picture, to message.Reader) string {
	said := []string{c.Renderer.Shown(p.Title, to)}
	for _, l := range p.DepthLines() {
		said = append(said, c.Renderer.Shown(l, to))
	}
	for _, r := range p.Rows {
		said = append(said, c.Renderer.Shown(r.Line(), to))
	}
	return strings.Join(said, ". ") + "."
}
