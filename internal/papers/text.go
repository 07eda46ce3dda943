package papers

import (
	"regexp"
	"strings"

	"github.com/rivo/uniseg"

	"gasmuster/internal/lettering"
)

// millimetres of a point, in which letters are measured.
const point = 25.4 / 72

// unbroken keeps a figure and its unit on one line.
var unbroken = regexp.MustCompile(`(\d) (%|m\b|ft\b|min\b|ppm\b|bar\b)`)

// prepared is text as it is measured and drawn. The page notes what it can't draw.
func (s *sheet) prepared(text string) string {
	text, lacking := inked(text)
	s.lacking = s.lacking || lacking
	return unbroken.ReplaceAllString(text, "$1\u00a0$2")
}

// usual tells whether the document's own fonts write a text. Other scripts are
// drawn as outlines.
func usual(s string) bool {
	for _, r := range s {
		if r > 0xFFFF {
			return false
		}
	}
	return lettering.Usual(s)
}

// measure is how wide a prepared text is in the present font, in millimetres.
func (s *sheet) measure(text string) float64 {
	if usual(text) {
		return s.GetStringWidth(lettering.Plain(text))
	}
	return lettering.Set(text, s.bold, s.rtl).Width * s.size * point
}

// put draws a prepared text in one line of a height, where a column begins for
// the reader: at the left, or at the right.
func (s *sheet) put(x, y, width, height float64, text string) {
	if text == "" {
		return
	}
	if s.rtl {
		x += width - s.measure(text)
	}
	baseline := y + height/2 + 0.3*s.size*point
	if usual(text) {
		s.Text(x, baseline, lettering.Plain(text))
		return
	}
	lettering.Set(text, s.bold, s.rtl).Draw(&outline{s, x, baseline}, s.size*point)
	r, g, b := s.GetTextColor()
	s.SetFillColor(r, g, b)
	s.DrawPath("F")
}

// outline draws letters onto a sheet.
type outline struct {
	s    *sheet
	x, y float64
}

func (o *outline) Move(x, y float64) { o.s.MoveTo(o.x+x, o.y-y) }
func (o *outline) Line(x, y float64) { o.s.LineTo(o.x+x, o.y-y) }
func (o *outline) Curve(x1, y1, x2, y2, x3, y3 float64) {
	o.s.CurveBezierCubicTo(o.x+x1, o.y-y1, o.x+x2, o.y-y2, o.x+x3, o.y-y3)
}

// wrap breaks text into lines of at most a width, where its language breaks
// lines; a piece that is wider is broken inside.
func (s *sheet) wrap(text string, width float64) []string {
	var lines []string
	for _, paragraph := range strings.Split(s.prepared(text), "\n") {
		line := ""
		for rest, state := paragraph, -1; rest != ""; {
			var piece string
			piece, rest, _, state = uniseg.FirstLineSegmentInString(rest, state)
			if s.measure(strings.TrimRight(line+piece, " ")) <= width {
				line += piece
				continue
			}
			if line != "" {
				lines = append(lines, strings.TrimRight(line, " "))
			}
			line = s.broken(&lines, piece, width)
		}
		if line = strings.TrimRight(line, " "); line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// broken adds what a piece has more than a line takes, and returns its rest. A
// letter and the marks on it stay together.
func (s *sheet) broken(lines *[]string, piece string, width float64) string {
	line := ""
	for rest, state := piece, -1; rest != ""; {
		var letter string
		letter, rest, _, state = uniseg.FirstGraphemeClusterInString(rest, state)
		if line != "" && s.measure(strings.TrimRight(line+letter, " ")) > width {
			*lines = append(*lines, line)
			line = ""
		}
		line += letter
	}
	return line
}

// flow writes wrapped text at the present height and moves below it, onto the
// next page where one begins.
func (s *sheet) flow(x, width, height float64, text string, breaks bool) {
	for _, l := range s.wrap(text, width) {
		if breaks {
			s.keep(height)
		}
		y := s.GetY() // drawing moves it
		s.put(x, y, width, height, l)
		s.SetY(y + height)
	}
}

// fitted draws text in the largest letters from size down to least in which it
// takes at most so many lines, and moves below it. What is still too long goes on
// for as many lines as it takes: nothing is cut.
func (s *sheet) fitted(style string, size, least, x, width float64, most int, text string) {
	s.font(style, size)
	for len(s.wrap(text, width)) > most && size > least {
		size -= 0.5
		s.font(style, size)
	}
	s.flow(x, width, size*0.42, text, false)
}
