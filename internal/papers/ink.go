package papers

import (
	"fmt"
	"strings"
	"sync"

	unidecode "github.com/mozillazg/go-unidecode"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"

	"gasmuster/internal/message"
)

// ink writes what the embedded fonts can draw. Neither a missing glyph (which
// leaves a hole) nor a character beyond U+FFFF (which the PDF library can't
// take) reaches a page.
type ink struct {
	words teller
	lossy bool // something was written in other letters
}

// face is the regular font; the bold one holds the same characters.
var face = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic(err) // part of the program
	}
	return f
})

func drawable(r rune) bool {
	if r > 0xFFFF || r < ' ' {
		return false
	}
	i, err := face().GlyphIndex(nil, r)
	return err == nil && i != 0
}

// symbols stand for those of the verdicts and for what has a shape close by.
var symbols = map[rune]string{'✅': "●", '⚠': "▲", '⛔': "■", '❓': "○", '⟦': "[", '⟧': "]", '\u00a0': " ", '\u202f': " ",
	'‑': "-", '‒': "–", '―': "—", '、': ", ", '。': ". ", '，': ", ", '：': ": ", '（': " (", '）': ") "}

// invisible characters only direct others.
func invisible(r rune) bool {
	return r >= '\u200b' && r <= '\u200f' || r >= '\u202a' && r <= '\u202e' || r >= '\u2060' && r <= '\u206f' ||
		r >= '\ufe00' && r <= '\ufe0f' || r == '\ufeff' || r == '\u00ad'
}

// text is s in characters that can be drawn. What can't is written in Latin
// letters, or by its number in the standard.
func (k *ink) text(s string) string {
	var b strings.Builder
	for _, r := range norm.NFC.String(s) {
		sub, known := symbols[r]
		switch {
		case known:
			b.WriteString(sub)
		case invisible(r):
		case r == '\n' || r == '\t' || drawable(r):
			b.WriteRune(r)
		default:
			k.lossy = true
			b.WriteString(spelled(r))
		}
	}
	return strings.Join(strings.FieldsFunc(b.String(), func(r rune) bool { return r == ' ' }), " ")
}

func spelled(r rune) string {
	var b strings.Builder
	for _, l := range unidecode.Unidecode(string(r)) {
		if drawable(l) {
			b.WriteRune(l)
		}
	}
	if strings.TrimSpace(b.String()) == "" {
		return fmt.Sprintf("[U+%04X]", r)
	}
	return b.String()
}

// complete tells whether s can be drawn as it is.
func complete(s string) bool {
	k := ink{}
	k.text(s)
	return !k.lossy
}

// name is a person's name, by number where it can't be drawn as it is.
func (k *ink) name(number int, s string) string {
	if complete(s) {
		return s
	}
	k.lossy = true
	return k.words.say("papers.spelled.name", message.Args{"number": message.Count(number), "name": message.Name(k.text(s))})
}

// note says that something was written in other letters; "" when nothing was.
func (k *ink) note() string {
	if !k.lossy {
		return ""
	}
	return k.words.say("papers.spelled", nil)
}
