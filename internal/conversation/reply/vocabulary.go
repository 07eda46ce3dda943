package reply

import (
	"embed"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
	"golang.org/x/text/unicode/norm"
)

//go:embed vocabulary/*.toml
var vocabularyFiles embed.FS

// class is what a word does to the result; see walk.go.
type class string

// The classes of words, named as in the vocabulary files. The intents are
// classes of their own, "intent:" and the Intent.
const (
	unknownWord class = ""
	filler      class = "filler"
	percent     class = "percent"
	measured    class = "measured"
	ordered     class = "ordered"
	same        class = "same"
	blend       class = "blend"
	air         class = "air"
	calibrated  class = "calibrated"
	other       class = "other"
	vague       class = "vague"
	span        class = "range"
	labelled    class = "label"
	analyser    class = "analyser"
	on          class = "on"
	both        class = "both"
	dive        class = "dive"
	ordinal     class = "ordinal"
	correction  class = "correction"
	not         class = "not"
	again       class = "again"
	and         class = "and"
	but         class = "but"

	intentPrefix = "intent:"
)

var wordLists = []class{filler, percent, measured, ordered, same, blend, air, calibrated, other, vague, span,
	labelled, analyser, on, both, dive, correction, not, again, and, but}

// unit is what a number's unit measures.
type unit string

const (
	noUnit       unit = ""
	unitPressure unit = "pressure"
	unitMetres   unit = "metres"
	unitFeet     unit = "feet"
	unitMinutes  unit = "minutes"
	unitOther    unit = "other"
)

// vocabulary is one language's words, or several languages' merged.
type vocabulary struct {
	words     map[string]class
	longest   int // words in the longest phrase
	questions map[string]bool
	numbers   map[string]int
	ordinals  map[string]int
	point     map[string]bool
	weakPoint map[string]bool // "e" in "trentadue e quattro": only between words
	elisions  map[string]bool // "l" in "l'analyseur": a word of its own
	units     map[string]unit
	han       bool // 三十二点四 is a number
	spoken    int  // words in the longest spoken number
}

// wordFile is the form of vocabulary/<language>.toml.
type wordFile struct {
	Point    []string            `toml:"point"`
	Weak     []string            `toml:"weak-point"`
	Elisions []string            `toml:"elisions"`
	Han      bool                `toml:"han"`
	Numbers  map[string]int      `toml:"numbers"`
	Ordinals map[string]int      `toml:"ordinals"`
	Units    map[unit][]string   `toml:"units"`
	Words    map[class][]string  `toml:"words"`
	Intents  map[Intent][]string `toml:"intents"`
}

// vocabularies are all languages, by their two or three letters; loaded once.
var vocabularies = sync.OnceValue(func() map[string]*vocabulary {
	all, err := loadVocabularies(vocabularyFiles)
	if err != nil {
		panic(err) // embedded files: a test loads them
	}
	return all
})

func loadVocabularies(files fs.FS) (map[string]*vocabulary, error) {
	names, err := fs.Glob(files, "vocabulary/*.toml")
	if err != nil {
		return nil, err
	}
	all := map[string]*vocabulary{}
	for _, name := range names {
		var f wordFile
		meta, err := toml.DecodeFS(files, name, &f)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if rest := meta.Undecoded(); len(rest) > 0 {
			return nil, fmt.Errorf("%s: unknown entries %v", name, rest)
		}
		v := newVocabulary()
		if err := v.add(f, true); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all[strings.TrimSuffix(path.Base(name), ".toml")] = v
	}
	return all, nil
}

func newVocabulary() *vocabulary {
	return &vocabulary{words: map[string]class{}, questions: map[string]bool{}, numbers: map[string]int{},
		ordinals: map[string]int{}, point: map[string]bool{}, weakPoint: map[string]bool{}, elisions: map[string]bool{},
		units: map[string]unit{}, longest: 1, spoken: 1}
}

// add takes a file's words in. A phrase in two lists is an error when strict:
// the first list would win in silence.
func (v *vocabulary) add(f wordFile, strict bool) error {
	v.han = f.Han
	addAll(v.elisions, f.Elisions, v)
	for c, list := range f.Words {
		if c == "question" {
			addAll(v.questions, list, v)
			continue
		}
		if err := v.addWords(c, list, strict); err != nil {
			return err
		}
	}
	for i, list := range f.Intents {
		if err := v.addWords(intentPrefix+class(i), list, strict); err != nil {
			return err
		}
	}
	for w, n := range f.Ordinals {
		v.ordinals[v.typed(w)] = n
		if err := v.addWords(ordinal, []string{w}, strict); err != nil {
			return err
		}
	}
	for w, n := range f.Numbers {
		w = v.typed(w)
		v.numbers[w] = n
		v.spoken = max(v.spoken, 1+strings.Count(w, " "))
	}
	addAll(v.point, f.Point, v)
	addAll(v.weakPoint, f.Weak, v)
	for u, list := range f.Units {
		for _, w := range list {
			v.units[v.typed(w)] = u
		}
	}
	v.withoutAccents()
	return nil
}

func addAll(into map[string]bool, list []string, v *vocabulary) {
	for _, w := range list {
		into[v.typed(w)] = true
	}
}

// typed is a phrase of the file in the form in which typed text is compared.
func (v *vocabulary) typed(phrase string) string {
	words := strings.Fields(strings.ReplaceAll(lowerCase(fold(phrase)), "-", " "))
	for i, w := range words {
		if first, rest, ok := strings.Cut(w, "'"); ok && rest != "" && v.elisions[first] {
			words[i] = first + "' " + rest
		}
	}
	return strings.Join(words, " ")
}

func (v *vocabulary) addWords(c class, list []string, strict bool) error {
	for _, w := range list {
		w = v.typed(w)
		if was, twice := v.words[w]; twice && was != c && strict {
			return fmt.Errorf("%q stands under %q and %q", w, was, c)
		}
		v.words[w] = c
		v.longest = max(v.longest, 1+strings.Count(w, " "))
	}
	return nil
}

// wordsOf is the vocabulary for a reader of language: their own, and English
// when theirs has no file. "pt-br" finds pt.
func wordsOf(language string) *vocabulary {
	all := vocabularies()
	base, _, _ := strings.Cut(strings.ToLower(language), "-")
	if v, ok := merged(all)[base]; ok {
		return v
	}
	return all["en"]
}

// merged holds every language with the English words added where the language
// has no meaning of its own for them: on a mixed boat people type both.
var mergedOnce sync.Once
var mergedAll map[string]*vocabulary

func merged(all map[string]*vocabulary) map[string]*vocabulary {
	mergedOnce.Do(func() {
		mergedAll = map[string]*vocabulary{}
		for name, v := range all {
			m := newVocabulary()
			for _, from := range []*vocabulary{v, all["en"]} {
				m.fill(from)
			}
			mergedAll[name] = m
		}
	})
	return mergedAll
}

// fill adds what v has no meaning for yet.
func (v *vocabulary) fill(from *vocabulary) {
	v.longest = max(v.longest, from.longest)
	v.spoken = max(v.spoken, from.spoken)
	v.han = v.han || from.han
	known := func(w string) bool {
		_, number := v.numbers[w]
		_, measure := v.units[w]
		return number || measure || v.words[w] != unknownWord || v.point[w] || v.weakPoint[w]
	}
	words, numbers, units := added(from.words, known), added(from.numbers, known), added(from.units, known)
	maps.Copy(v.words, words)
	maps.Copy(v.numbers, numbers)
	maps.Copy(v.units, units)
	fillMap(v.questions, from.questions)
	fillMap(v.ordinals, from.ordinals)
	fillMap(v.point, from.point)
	fillMap(v.weakPoint, from.weakPoint)
	fillMap(v.elisions, from.elisions)
}

// added is what the other vocabulary has and v gives no meaning of any kind.
func added[V any](from map[string]V, known func(string) bool) map[string]V {
	out := map[string]V{}
	for w, x := range from {
		if !known(w) {
			out[w] = x
		}
	}
	return out
}

func fillMap[V any](into, from map[string]V) {
	for k, x := range from {
		if _, ok := into[k]; !ok {
			into[k] = x
		}
	}
}

// withoutAccents lets words be typed without their accents, where that is no
// other word: phones make them hard to reach.
func (v *vocabulary) withoutAccents() {
	fillMap(v.words, plainly(v.words))
	fillMap(v.numbers, plainly(v.numbers))
	fillMap(v.ordinals, plainly(v.ordinals))
	fillMap(v.units, plainly(v.units))
	fillMap(v.questions, plainly(v.questions))
	fillMap(v.point, plainly(v.point))
}

func plainly[V any](from map[string]V) map[string]V {
	out := map[string]V{}
	for w, x := range from {
		if p := accentless(w); p != w {
			out[p] = x
		}
	}
	return out
}

// accentless is s with its Latin letters bare.
func accentless(s string) string {
	return norm.NFC.String(strings.Map(func(r rune) rune {
		if r >= 0x300 && r <= 0x36f {
			return dropped
		}
		return r
	}, norm.NFD.String(s)))
}
