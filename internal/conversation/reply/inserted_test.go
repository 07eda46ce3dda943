package reply

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What testdata/replies/inserted holds, put anywhere into a sentence that gives
// a reading, must leave nothing that is recorded: the words deny, doubt, speak
// of something else or are not known.

// understood is a sentence that gives a reading.
type understood struct {
	pieces []string // between which something may be put
	ctx    Context
	glue   string // what stands between words: a blank, or nothing
}

func TestInserted(t *testing.T) {
	for _, file := range strangerFiles(t, "strangers") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) {
			sentences, words := understoodIn(t, language, "strangers"), insertedIn(t, language)
			if len(sentences) < 30 || len(words) < 40 {
				t.Fatalf("%d sentences, %d words", len(sentences), len(words))
			}
			for _, s := range sentences {
				for at := range len(s.pieces) + 1 {
					for _, w := range words {
						checkInserted(t, s, at, w)
					}
				}
			}
		})
	}
}

func checkInserted(t *testing.T, s understood, at int, word string) {
	t.Helper()
	text := s.with(at, word)
	if s.joins(at, word) {
		return
	}
	r := Parse(text, s.ctx)
	if r.Intent == NewCylinder || r.Intent == Refilled {
		return // which cylinder is asked first
	}
	if len(r.Unclear) == 0 && len(r.Readings) > 0 && !r.Correction {
		t.Errorf("%s: Parse(%q) = %s, want nothing recorded", s.ctx.Language, text, describe(r))
	}
	if len(r.Unclear) == 0 && r.Correction && len(r.Readings) > 0 && !corrects(word, s.ctx.Language) {
		t.Errorf("%s: Parse(%q) = %s, want no correction", s.ctx.Language, text, describe(r))
	}
}

// joins tells whether the word and its neighbour are a phrase of their own
// ("was" before "ordered"), or one more word for a cylinder that is done later.
func (s understood) joins(at int, word string) bool {
	words := wordsOf(s.ctx.Language)
	all := append(append(slices.Clone(s.pieces[:at]), word), s.pieces[at:]...)
	for from := 0; from <= at; from++ {
		for to := max(at+1, from+2); to <= len(all); to++ {
			phrase := words.typed(strings.Trim(strings.Join(all[from:to], " "), ",.!:"))
			if words.words[phrase] != unknownWord {
				return true
			}
		}
	}
	later := len(Parse(strings.Join(s.pieces, s.glue), s.ctx).Later) > 0
	return later && words.words[lowerCase(fold(word))] == saidNotYet
}

func (s understood) with(at int, word string) string {
	pieces := append(append(append([]string{}, s.pieces[:at]...), word), s.pieces[at:]...)
	return strings.Join(pieces, s.glue)
}

// understoodIn are the sentences of a corpus that are recorded.
func understoodIn(t testing.TB, language, dir string) []understood {
	t.Helper()
	var all []understood
	for _, line := range readLines(t, filepath.Join(repliesDir, dir, language+".txt")) {
		phrase, ctx, want, ok := strangerLine(t, line, language)
		if !ok || !strings.HasPrefix(want, "record") || outcome(Parse(phrase, ctx), ctx) != want {
			continue
		}
		all = append(all, understood{pieces: strings.Fields(phrase), ctx: ctx, glue: " "})
	}
	return all
}

func insertedIn(t testing.TB, language string) []string {
	t.Helper()
	var words []string
	for _, line := range readLines(t, filepath.Join(repliesDir, "inserted", language+".txt")) {
		if line != "" && !strings.HasPrefix(line, "//") {
			words = append(words, line)
		}
	}
	return words
}

// copulas make a phrase of some answers: "foi sim", "era sempre con me".
var copulas = map[string]bool{"era": true, "foi": true, "si": true}

// TestInsertedAnswers: a yes, or that a cylinder stayed, is none with any of
// the words beside it.
func TestInsertedAnswers(t *testing.T) {
	for _, file := range strangerFiles(t, "strangers") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		for _, line := range readLines(t, file) {
			phrase, ctx, want, ok := strangerLine(t, line, language)
			if !ok || want != "kept" && want != "yes" {
				continue
			}
			s := understood{pieces: strings.Fields(phrase), ctx: ctx, glue: " "}
			for at := range len(s.pieces) + 1 {
				for _, w := range insertedIn(t, language) {
					if s.joins(at, w) {
						continue
					}
					got := outcome(Parse(s.with(at, w), ctx), ctx)
					if (got == "kept" || got == "yes") && !copulas[w] {
						t.Errorf("%s: %q is understood as %s", language, s.with(at, w), got)
					}
				}
			}
		}
	}
}

// FuzzInserted puts words that deny or speak of something else, and words that
// nobody knows, into understood sentences of every language.
func FuzzInserted(f *testing.F) {
	var sentences []understood
	var words [][]string
	for _, file := range []string{"en", "es", "pt", "fr", "it", "de", "nl", "ja", "zh", "ar"} {
		sentences = append(sentences, understoodIn(f, file, "strangers")...)
		sentences = append(sentences, understoodIn(f, file, "everyday")...)
		sentences = append(sentences, understoodIn(f, file, "dock/second")...)
		w := insertedIn(f, file)
		for range len(sentences) - len(words) {
			words = append(words, w)
		}
	}
	f.Add(uint(0), uint(0), uint(0), "")
	f.Add(uint(70), uint(1), uint(3), "qwrtz")
	f.Fuzz(func(t *testing.T, which, at, word uint, unknown string) {
		n := which % uint(len(sentences))
		s := sentences[n]
		w := words[n][word%uint(len(words[n]))]
		if stranger(unknown, s.ctx.Language) {
			w = unknown
		}
		checkInserted(t, s, int(at%uint(len(s.pieces)+1)), w) // #nosec G115 -- less than the pieces
	})
}

// stranger tells whether a made-up word is letters that no vocabulary and no
// name knows any part of.
func stranger(w, language string) bool {
	if len([]rune(w)) < 5 || strings.ContainsFunc(w, func(r rune) bool { return !isLetter(r) || r == '_' || r > 0x24f }) {
		return false
	}
	words := wordsOf(language)
	w = lowerCase(fold(w))
	toks := []token{{kind: kWord, text: w}}
	misspelt(toks, words)
	return toks[0].role == unknownWord && !words.knows(w) && !words.pieces[w] && !words.knows(accentless(w))
}

// corrects tells whether a word, before the number, makes a correction of it.
func corrects(word, language string) bool {
	r := wordsOf(language).words[lowerCase(fold(word))]
	return r == correction || r == excuse || r == wrong || r == maybeNo || r == saidUndo
}

// TestRefusingWords: no word of the vocabulary that has no room in a reading
// has any, wherever it stands.
func TestRefusingWords(t *testing.T) {
	refusing := map[role]bool{never: true, doubtful: true, other: true, subject: true, past: true, same: true,
		expected: true, helium: true, firmNo: true,
		always: true, when: true, act: true, last: true, inPlace: true, saidUnsure: true, saidDontKnow: true,
		saidTrouble: true, saidOutOfSight: true, saidCancel: true, saidPass: true, alarmed: true}
	for language, v := range vocabularies() {
		ctx := Context{Labels: []string{"17"}, Cylinders: 1, Language: language}
		base := []understood{{[]string{"17:", "32.4", "%"}, ctx, " "}, {[]string{"32.4"}, ctx, " "},
			{[]string{"17", "32.4"}, ctx, ""}}
		for word, r := range v.words {
			if !refusing[r] || v.measuring[word] { // "mido 32,4" is a reading
				continue
			}
			for _, s := range base[:2] {
				for at := range len(s.pieces) + 1 {
					checkInserted(t, s, at, word)
				}
			}
		}
	}
}
