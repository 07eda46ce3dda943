package picture

import (
	"strings"
	"sync"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// The embedded fonts have Latin, Greek and Cyrillic letters. The plotting
// library leaves out what a font doesn't have without a word, so that every
// text is looked at before it is drawn.

const boldWeight = 3 // golang.org/x/image/font: WeightBold

func face(bold bool, size vg.Length) font.Font {
	f := font.Font{Typeface: "Go", Variant: "Sans", Size: size}
	if bold {
		f.Weight = boldWeight
	}
	return f
}

// regular is the font that is asked what can be written; the bold one holds
// the same characters.
var regular = sync.OnceValue(func() *opentype.Font { return parsed(goregular.TTF) })

func parsed(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic(err) // part of the program
	}
	return f
}

// handler measures and draws text with a cache of its own, so that nothing
// else that draws is touched.
var handler = sync.OnceValue(func() text.Plain {
	return text.Plain{Fonts: font.NewCache(font.Collection{
		{Font: face(false, 0), Face: regular()},
		{Font: face(true, 0), Face: parsed(gobold.TTF)},
	})}
})

// plain is a text as it is drawn: composed letters, ordinary blanks, without
// the marks that only direct others.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case directs(r):
			return -1
		case r == '\u00a0' || r == '\u202f':
			return ' '
		case r == '‑':
			return '-'
		}
		return r
	}, norm.NFC.String(s))
}

// directs tells the invisible marks that set directions.
func directs(r rune) bool {
	return r == '\u200e' || r == '\u200f' || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069'
}

// drawable tells whether the fonts have every character of a text.
func drawable(s string) bool {
	var b sfnt.Buffer
	for _, r := range plain(s) {
		if i, err := regular().GlyphIndex(&b, r); err != nil || i == 0 {
			return false
		}
	}
	return true
}

// width is how wide a text is drawn, in points.
func width(s string, f font.Font) vg.Length {
	w, _, _ := handler().Box(s, f)
	return w
}
