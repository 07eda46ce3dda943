package telegram

import (
	"html"
	"strings"
	"unicode/utf8"

	"github.com/rivo/uniseg"
)

// Limits of one message, as documented: UTF-16 units once the markup was
// taken out, and bytes of the text as it is sent.
const (
	maxUnits = 4096
	maxBytes = 32768
)

// bit is a piece of marked-up text that must not be cut: a tag, or one
// character as a person sees it, with its entities.
type bit struct {
	raw   string
	tag   string // the name of a tag, "" for text
	close bool
	units int
	space bool
	line  bool // ends a line
}

// split cuts a text in the small HTML that Renderer writes into messages that
// the server takes: at a line's end if there is one in the second half of a
// message, else between words, else between characters, never inside a tag,
// an entity, a surrogate pair or a grapheme. Tags open at a cut are closed
// before it and opened again after it. Parts without anything to see are left out.
func split(text string, most int) []string {
	var parts []string
	s := splitter{bits: bits(text), most: most}
	for s.at < len(s.bits) {
		if part, visible := s.next(); visible {
			parts = append(parts, part)
		}
	}
	return parts
}

type splitter struct {
	bits []bit
	at   int
	most int
	open []bit // tags open at the cut
}

// next takes one part off.
func (s *splitter) next() (string, bool) {
	end := s.cut()
	var b strings.Builder
	for _, t := range s.open {
		b.WriteString(t.raw)
	}
	visible := false
	for _, t := range s.bits[s.at:end] {
		b.WriteString(t.raw)
		visible = visible || (t.tag == "" && !t.space)
		s.track(t)
	}
	for i := len(s.open) - 1; i >= 0; i-- {
		b.WriteString("</" + s.open[i].tag + ">")
	}
	s.at = end
	return b.String(), visible
}

func (s *splitter) track(t bit) {
	switch {
	case t.tag == "":
	case !t.close:
		s.open = append(s.open, t)
	case len(s.open) > 0:
		s.open = s.open[:len(s.open)-1]
	}
}

// cut finds where the next part ends.
func (s *splitter) cut() int {
	units, size, end := 0, s.closing(), s.at
	line, word := 0, 0
	for end < len(s.bits) {
		t := s.bits[end]
		units += t.units
		size += 2*len(t.raw) + 1 // a tag also needs its end
		if end > s.at && (units > s.most || size > maxBytes) {
			return s.withEnds(s.best(end, line, word))
		}
		end++
		switch {
		case t.line:
			line, word = end, end
		case t.space:
			word = end
		}
	}
	return end
}

// closing is what the tags already open take, in bytes.
func (s *splitter) closing() int {
	n := 0
	for _, t := range s.open {
		n += 2*len(t.raw) + 1
	}
	return n
}

// best prefers a line's end, then a word's, when that wastes no more than half.
func (s *splitter) best(end, line, word int) int {
	half := s.at + (end-s.at)/2
	switch {
	case line > half:
		return line
	case word > half:
		return word
	}
	for end > s.at+1 && s.bits[end-1].tag != "" && !s.bits[end-1].close {
		end-- // don't open a tag at the end of a part
	}
	return end
}

// withEnds takes the ends of tags that follow a cut along: they are written there anyway.
func (s *splitter) withEnds(end int) int {
	for end < len(s.bits) && s.bits[end].close {
		end++
	}
	return end
}

// bits takes a text apart.
func bits(text string) []bit {
	var out []bit
	for text != "" {
		if tag, ok := leadingTag(text); ok {
			out = append(out, tag)
			text = text[len(tag.raw):]
			continue
		}
		end := strings.IndexByte(text[1:], '<') + 1
		if end == 0 {
			end = len(text)
		}
		out = append(out, characters(text[:end])...)
		text = text[end:]
	}
	return out
}

func leadingTag(text string) (bit, bool) {
	if text[0] != '<' {
		return bit{}, false
	}
	end := strings.IndexByte(text, '>')
	if end < 0 {
		return bit{}, false
	}
	t := bit{raw: text[:end+1]}
	inner := t.raw[1:end]
	t.close = strings.HasPrefix(inner, "/")
	t.tag, _, _ = strings.Cut(strings.TrimPrefix(inner, "/"), " ")
	return t, t.tag != ""
}

// characters cuts escaped text into graphemes: it is unescaped to find them,
// and escaped again.
func characters(escaped string) []bit {
	plain := strings.ToValidUTF8(html.UnescapeString(escaped), "\uFFFD")
	var out []bit
	g := uniseg.NewGraphemes(plain)
	for g.Next() {
		for _, piece := range bounded(g.Str()) {
			out = append(out, bit{raw: html.EscapeString(piece), units: units(piece),
				space: strings.TrimSpace(piece) == "", line: strings.Contains(piece, "\n")})
		}
	}
	return out
}

// maxGrapheme is where a character made of endless combining marks is cut all
// the same: nobody writes one in good faith.
const maxGrapheme = 64

func bounded(grapheme string) []string {
	var out []string
	for len(grapheme) > maxGrapheme {
		cut := maxGrapheme
		for !utf8.RuneStart(grapheme[cut]) {
			cut--
		}
		out, grapheme = append(out, grapheme[:cut]), grapheme[cut:]
	}
	return append(out, grapheme)
}

// units counts UTF-16 code units.
func units(s string) int {
	n := 0
	for _, r := range s {
		n++
		if r > 0xFFFF {
			n++
		}
	}
	return n
}

// plain takes the markup out again.
func plain(marked string) string {
	var b strings.Builder
	for _, t := range bits(marked) {
		if t.tag == "" {
			b.WriteString(html.UnescapeString(t.raw))
		}
	}
	return b.String()
}
