// Package lettering sets a line of text in any script as outlines, for papers
// and pictures that must not depend on the fonts of whoever looks at them.
//
//	text --fonts.go--> a font for each character
//	     --runs in the order in which they are seen, shaped--> Line: outlines in ems
//
// The fonts are built in: the Go fonts for Latin, Greek and Cyrillic, those in
// fonts/ for everything else (from Debian's fonts-noto-core and
// fonts-droid-fallback; their licences lie beside them). Scripts and rare
// characters beyond those come from the system's fonts, where there are some
// (installed.go). Shaping is that of github.com/go-text/typesetting.
package lettering

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Line is a text in one line. Its origin is the left end of the baseline, x
// grows to the right and y upwards, both in ems.
type Line struct {
	Width float64
	paths []segment
}

type segment struct {
	op   opentype.SegmentOp
	args [3]point
}

type point struct{ x, y float64 }

// Pen draws outlines. An outline begins with Move and is closed by the next
// one; all of a line's are filled together, by the non-zero rule.
type Pen interface {
	Move(x, y float64)
	Line(x, y float64)
	Curve(x1, y1, x2, y2, x3, y3 float64)
}

// em is the size that is shaped at, so that its fractions are fine enough.
const em = 1024

// strike is how far apart bold letters of a font that has none are struck twice, in ems.
const strike = 0.035

// shaper is shared and locked: its faces remember what they looked up last.
var shaper struct {
	sync.Mutex
	shaping.HarfbuzzShaper
	shaping.Segmenter
}

// Set lays a text out, in a language that runs from right to left or not. What
// no font has stands as an empty box.
func Set(text string, bold, rtl bool) Line {
	runes := []rune(drawable(text, true))
	if len(runes) == 0 {
		return Line{}
	}
	shaper.Lock()
	defer shaper.Unlock()
	in := shaping.Input{Text: runes, RunEnd: len(runes), Size: fixed.I(em), Direction: direction(rtl),
		Language: language.DefaultLanguage()}
	runs := slices.Clone(shaper.Split(in, choice{bold}))
	var l Line
	for _, run := range seen(runs, in.Direction) {
		l.add(shaper.Shape(run), bold && !hasBold(run.Face))
	}
	return l
}

// Plain is a text as it is set: composed letters, ordinary blanks, without the
// marks that only direct others.
func Plain(s string) string { return drawable(s, false) }

// drawable is a text as it is set. Marks that say where text of another direction
// begins and ends may stay: they order the letters and take no room.
func drawable(s string, directed bool) string {
	return strings.Map(func(r rune) rune {
		switch {
		case directed && unicode.Is(unicode.Bidi_Control, r):
			return r
		// joiners shape letters
		case unicode.Is(unicode.Cf, r) && r != '\u200c' && r != '\u200d' || r >= 0xfe00 && r <= 0xfe0f:
			return -1
		case r == '\u2011': // a hyphen at which no line breaks
			return '-'
		case unicode.IsSpace(r) || r == '\u00a0' || r == '\u202f':
			return ' '
		}
		return r
	}, norm.NFC.String(s))
}

func direction(rtl bool) di.Direction {
	if rtl {
		return di.DirectionRTL
	}
	return di.DirectionLTR
}

// seen puts runs into the order from left to right: those against the text's
// direction are turned round among themselves.
func seen(runs []shaping.Input, d di.Direction) []shaping.Input {
	for from := 0; from < len(runs); from++ {
		to := from
		for to < len(runs) && runs[to].Direction != d {
			to++
		}
		slices.Reverse(runs[from:to])
		from = max(from, to-1)
	}
	if d == di.DirectionRTL {
		slices.Reverse(runs)
	}
	return runs
}

// add sets a run at the end of the line.
func (l *Line) add(run shaping.Output, twice bool) {
	for _, g := range run.Glyphs {
		x, y := l.Width+ems(g.XOffset), ems(g.YOffset)
		if o, ok := run.Face.GlyphDataOutline(g.GlyphID); ok {
			scale := 1 / float64(run.Face.Upem())
			l.outline(o, scale, x, y)
			if twice {
				l.outline(o, scale, x+strike, y)
			}
		}
		l.Width += ems(g.Advance)
	}
}

func ems(v fixed.Int26_6) float64 { return float64(v) / 64 / em }

func (l *Line) outline(o font.GlyphOutline, scale, x, y float64) {
	for _, s := range o.Segments {
		one := segment{op: s.Op}
		for i, p := range s.Args {
			one.args[i] = point{x + float64(p.X)*scale, y + float64(p.Y)*scale}
		}
		l.paths = append(l.paths, one)
	}
}

// Draw draws the outlines with an em of a size, in the pen's own units.
func (l Line) Draw(p Pen, size float64) {
	var at point
	for _, s := range l.paths {
		a := s.args
		for i := range a {
			a[i].x, a[i].y = a[i].x*size, a[i].y*size
		}
		switch s.op {
		case opentype.SegmentOpMoveTo:
			at = a[0]
			p.Move(at.x, at.y)
		case opentype.SegmentOpLineTo:
			at = a[0]
			p.Line(at.x, at.y)
		case opentype.SegmentOpQuadTo: // the same curve with two handles
			c, end := a[0], a[1]
			p.Curve(at.x+2*(c.x-at.x)/3, at.y+2*(c.y-at.y)/3, end.x+2*(c.x-end.x)/3, end.y+2*(c.y-end.y)/3, end.x, end.y)
			at = end
		case opentype.SegmentOpCubeTo:
			at = a[2]
			p.Curve(a[0].x, a[0].y, a[1].x, a[1].y, at.x, at.y)
		}
	}
}
