package lettering

import (
	"bytes"
	"io/fs"
	"strings"
	"sync"
	"unicode"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
)

// system has the fonts of the machine, nil without any.
var system fs.FS

// read are the fonts of its files by their paths, nil where there is none. They
// are used under the shaper's lock.
var read = map[string]*font.Face{}

// UseInstalled says where the machine's fonts are, as Debian's packages
// fonts-noto-core and fonts-noto-cjk put them below /usr/share/fonts: rare
// characters of names and the scripts of few people, too large to build in.
func UseInstalled(folder fs.FS) {
	shaper.Lock()
	defer shaper.Unlock()
	system, read = folder, map[string]*font.Face{}
}

var scriptNames = sync.OnceValue(func() map[string]string {
	names := map[string]string{}
	for name := range unicode.Scripts {
		names[name] = strings.ReplaceAll(name, "_", "")
	}
	return names
})

// installed is the font of the machine that has a character, nil without one.
func installed(r rune) *font.Face {
	if system == nil {
		return nil
	}
	for _, path := range filesFor(r) {
		f, known := read[path]
		if !known {
			f = readFont(path)
			read[path] = f
		}
		if f != nil && has(f, r) {
			return f
		}
	}
	return nil
}

// filesFor are the files that a character may be in, by the script that it belongs to.
func filesFor(r rune) []string {
	if unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul, unicode.Bopomofo) {
		return []string{"opentype/noto/NotoSansCJK-Regular.ttc"}
	}
	for name, plain := range scriptNames() {
		if name != "Common" && name != "Inherited" && unicode.Is(unicode.Scripts[name], r) {
			return []string{"truetype/noto/NotoSans" + plain + "-Regular.ttf", "truetype/noto/NotoSerif" + plain +
				"-Regular.ttf"}
		}
	}
	return nil
}

// readFont reads the first font of a file, nil when it can't be read.
func readFont(path string) *font.Face {
	b, err := fs.ReadFile(system, path)
	if err != nil {
		return nil
	}
	fonts, err := opentype.NewLoaders(bytes.NewReader(b))
	if err != nil || len(fonts) == 0 {
		return nil
	}
	f, err := font.NewFont(fonts[0])
	if err != nil {
		return nil
	}
	return font.NewFace(f)
}
