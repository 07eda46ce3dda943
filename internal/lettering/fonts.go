package lettering

import (
	"bytes"
	"compress/gzip"
	"embed"
	"io"
	"sync"
	"unicode"

	"github.com/go-text/typesetting/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

//go:embed fonts/*.gz
var files embed.FS

// others are the fonts of the scripts that the Go fonts lack, by what they are
// asked for. One is unpacked when its script is first written.
var others = []struct {
	scripts []*unicode.RangeTable
	face    func() *font.Face
}{
	{[]*unicode.RangeTable{unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Bopomofo},
		packed("DroidSansFallbackFull")},
	{[]*unicode.RangeTable{unicode.Hangul}, packed("DroidSansFallback")}, // the other has Chinese and Japanese
	{[]*unicode.RangeTable{unicode.Arabic}, packed("NotoSansArabic-Regular")},
	{[]*unicode.RangeTable{unicode.Hebrew}, packed("NotoSansHebrew-Regular")},
	{[]*unicode.RangeTable{unicode.Thai}, packed("NotoSansThai-Regular")},
	{[]*unicode.RangeTable{unicode.Devanagari}, packed("NotoSansDevanagari-Regular")},
	{[]*unicode.RangeTable{unicode.Bengali}, packed("NotoSansBengali-Regular")},
	{[]*unicode.RangeTable{unicode.Tamil}, packed("NotoSansTamil-Regular")},
	{[]*unicode.RangeTable{unicode.Telugu}, packed("NotoSansTelugu-Regular")},
	{[]*unicode.RangeTable{unicode.Kannada}, packed("NotoSansKannada-Regular")},
	{[]*unicode.RangeTable{unicode.Malayalam}, packed("NotoSansMalayalam-Regular")},
	{[]*unicode.RangeTable{unicode.Gujarati}, packed("NotoSansGujarati-Regular")},
	{[]*unicode.RangeTable{unicode.Gurmukhi}, packed("NotoSansGurmukhi-Regular")},
	{[]*unicode.RangeTable{unicode.Sinhala}, packed("NotoSansSinhala-Regular")},
	{[]*unicode.RangeTable{unicode.Khmer}, packed("NotoSansKhmer-Regular")},
	{[]*unicode.RangeTable{unicode.Lao}, packed("NotoSansLao-Regular")},
	{[]*unicode.RangeTable{unicode.Myanmar}, packed("NotoSansMyanmar-Regular")},
	{[]*unicode.RangeTable{unicode.Georgian}, packed("NotoSansGeorgian-Regular")},
	{[]*unicode.RangeTable{unicode.Armenian}, packed("NotoSansArmenian-Regular")},
	{[]*unicode.RangeTable{unicode.Ethiopic}, packed("NotoSansEthiopic-Regular")},
	{[]*unicode.RangeTable{unicode.Thaana}, packed("NotoSansThaana-Regular")},
	{[]*unicode.RangeTable{unicode.Oriya}, packed("NotoSansOriya-Regular")},
	{[]*unicode.RangeTable{unicode.Syriac}, packed("NotoSansSyriac-Regular")},
	{[]*unicode.RangeTable{unicode.Tibetan}, packed("NotoSerifTibetan-Regular")},
	{[]*unicode.RangeTable{unicode.Mongolian}, packed("NotoSansMongolian-Regular")},
	{[]*unicode.RangeTable{unicode.Javanese}, packed("NotoSansJavanese-Regular")},
	{[]*unicode.RangeTable{unicode.Balinese}, packed("NotoSansBalinese-Regular")},
	{[]*unicode.RangeTable{unicode.Nko}, packed("NotoSansNKo-Regular")},
	{[]*unicode.RangeTable{unicode.Tifinagh}, packed("NotoSansTifinagh-Regular")},
	{[]*unicode.RangeTable{unicode.Cherokee}, packed("NotoSansCherokee-Regular")},
	{[]*unicode.RangeTable{unicode.Canadian_Aboriginal}, packed("NotoSansCanadianAboriginal-Regular")},
	{[]*unicode.RangeTable{unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Inherited}, packed("NotoSans-Regular")},
}

var (
	regular = sync.OnceValue(func() *font.Face { return parsed(goregular.TTF) })
	bold    = sync.OnceValue(func() *font.Face { return parsed(gobold.TTF) })
	// rest have the signs that several scripts share, the Arabic comma or the danda.
	rest = []func() *font.Face{packed("NotoSans-Regular"), packed("NotoSansArabic-Regular"),
		packed("NotoSansDevanagari-Regular"),
		packed("DroidSansFallbackFull")}
)

// unpacked are the fonts by their names, each unpacked once.
var unpacked = map[string]func() *font.Face{}

func packed(name string) func() *font.Face {
	if f := unpacked[name]; f != nil {
		return f
	}
	unpacked[name] = sync.OnceValue(func() *font.Face {
		f, err := files.Open("fonts/" + name + ".ttf.gz")
		if err != nil {
			panic(err) // part of the program
		}
		z, err := gzip.NewReader(f)
		if err != nil {
			panic(err)
		}
		b, err := io.ReadAll(z)
		if err != nil {
			panic(err)
		}
		return parsed(b)
	})
	return unpacked[name]
}

func parsed(ttf []byte) *font.Face {
	f, err := font.ParseTTF(bytes.NewReader(ttf))
	if err != nil {
		panic(err) // part of the program
	}
	return f
}

// choice chooses the font of a character.
type choice struct{ bold bool }

// ResolveFace is the first font that has a character; the Go font, which shows
// an empty box, when none has.
func (c choice) ResolveFace(r rune) *font.Face {
	if f, ok := c.find(r); ok {
		return f
	}
	return regular()
}

func (c choice) find(r rune) (*font.Face, bool) {
	usual := regular()
	if c.bold {
		usual = bold()
	}
	if has(usual, r) {
		return usual, true
	}
	for _, o := range others {
		if unicode.In(r, o.scripts...) && has(o.face(), r) {
			return o.face(), true
		}
	}
	for _, f := range rest {
		if has(f(), r) {
			return f(), true
		}
	}
	f := installed(r)
	return f, f != nil
}

func has(f *font.Face, r rune) bool {
	_, ok := f.NominalGlyph(r)
	return ok
}

func hasBold(f *font.Face) bool { return f == bold() }

// Usual tells whether the Go fonts alone can write a text, from left to right.
func Usual(s string) bool {
	shaper.Lock()
	defer shaper.Unlock()
	for _, r := range Plain(s) {
		if !has(regular(), r) {
			return false
		}
	}
	return true
}

// Missing are the characters of a text that no font has.
func Missing(s string) (missing []rune) {
	shaper.Lock()
	defer shaper.Unlock()
	for _, r := range Plain(s) {
		if _, ok := (choice{}).find(r); !ok {
			missing = append(missing, r)
		}
	}
	return missing
}
