package reply

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gasmuster/internal/gas"
)

// TestStrangers goes through testdata/replies/strangers: phrases of people who
// had not read the vocabularies, each with what was meant (HOW.md). Nothing may
// be taken for what it is not; few may be asked about that say enough.
func TestStrangers(t *testing.T) {
	for _, file := range strangerFiles(t, "strangers") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) { playStrangers(t, file, language) })
	}
}

// mostAsked is how many in a hundred honest phrases may be asked about.
const mostAsked = 4

func strangerFiles(t *testing.T, dir string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(repliesDir, dir, "*.txt"))
	if err != nil || len(files) != len(vocabularies()) {
		t.Fatalf("%d files in %s, want one for each of %d languages (%v)", len(files), dir, len(vocabularies()), err)
	}
	return files
}

func playStrangers(t *testing.T, file, language string) {
	honest, refusing, missed := 0, 0, 0
	for n, line := range readLines(t, file) {
		phrase, ctx, want, ok := strangerLine(t, line, language)
		if !ok {
			continue
		}
		r := Parse(phrase, ctx)
		got := outcome(r, ctx)
		if want == "ask" {
			refusing++
		} else {
			honest++
		}
		switch {
		case got == want:
		case got == "ask":
			missed++
			t.Logf("%s:%d: %q asks, want %s: %s", language, n+1, phrase, want, describe(r))
		default:
			t.Errorf("%s:%d: %q: got %s, want %s: %s", language, n+1, phrase, got, want, describe(r))
		}
	}
	if honest*2 < refusing || refusing*3 < honest+refusing || honest+refusing < 150 {
		t.Errorf("%d phrases that say enough, %d that do not: want 150, a third of which do not", honest, refusing)
	}
	if missed*100 >= mostAsked*honest {
		t.Errorf("%d of %d phrases that say enough are asked about, want fewer than %d in a hundred", missed, honest,
			mostAsked)
	}
	t.Logf("%s: %d of %d asked about that say enough, %d that do not", language, missed, honest, refusing)
}

// strangerLine reads "17 is 31.6 | n=2 labels=17,22 asked=32,36 | record 17:31.6".
func strangerLine(t testing.TB, line, language string) (phrase string, ctx Context, want string, ok bool) {
	t.Helper()
	if line == "" || strings.HasPrefix(line, "//") {
		return "", Context{}, "", false
	}
	parts := strings.Split(line, " | ")
	if len(parts) != 3 {
		t.Fatalf("%d columns, want 3: %s", len(parts), line)
	}
	var known []string
	for _, word := range strings.Fields(parts[1]) {
		if key, value, _ := strings.Cut(word, "="); key == "question" {
			ctx.Shown = value == "shown"
		} else if word != "labels=_,_" {
			known = append(known, word)
		}
	}
	shown := ctx.Shown
	ctx = corpusContext(t, strings.Join(known, " "), language)
	ctx.Shown = shown
	if len(ctx.Asked) == 0 {
		ctx.Asked = []gas.Percent{32}
	}
	return strings.TrimSpace(parts[0]), ctx, plainly1(parts[2]), true
}

// plainly1 writes the numbers of an intention in one way: 32.0 is 32.
func plainly1(want string) string {
	words := strings.Fields(want)
	for i, w := range words {
		head, number := "", w
		if j := strings.LastIndexAny(w, ":="); j >= 0 {
			head, number = w[:j+1], w[j+1:]
		}
		number, tail, at := strings.Cut(number, "@")
		if v, err := strconv.ParseFloat(number, 64); err == nil && i > 0 {
			words[i] = head + strconv.FormatFloat(v, 'f', -1, 64)
			if at {
				words[i] += "@" + tail
			}
		}
	}
	return strings.Join(words, " ")
}

var outcomes = map[Intent]string{Yes: "yes", No: "no", Unsure: "unsure", DontKnow: "unsure", Kept: "kept",
	OutOfSight: "changed",
	Refilled:   "changed", NewCylinder: "changed", Undo: "undo", NotYet: "later", Alarmed: "leader"}

// outcome is what the dialogue does with a result. Whatever is unclear is asked
// about, and then nothing of the message is recorded; so is the cylinder of a
// number that names none of several.
func outcome(r Result, ctx Context) string {
	switch {
	case r.Intent == Alarmed:
		return "leader"
	case len(r.Unclear) > 0 && outcomes[r.Intent] != "":
		return "unclear, but " + string(r.Intent)
	case len(r.Unclear) > 0:
		return "ask"
	case r.MoveTo != "":
		return "move"
	case len(r.Readings) > 0:
		return recorded(r, ctx)
	case r.AirPoint.Known():
		return fmt.Sprintf("air %s %v", r.Analyser, float64(r.AirPoint))
	case len(r.Monoxide) > 0:
		return fmt.Sprintf("co %s %v", r.Monoxide[0].Label, r.Monoxide[0].PPM)
	case outcomes[r.Intent] != "":
		return outcomes[r.Intent]
	}
	return "ask"
}

func recorded(r Result, ctx Context) string {
	if r.Intent == NewCylinder || r.Intent == Refilled {
		return "ask" // which cylinder is asked first
	}
	verb := "record"
	if r.Correction {
		verb = "correct"
	}
	parts := []string{verb}
	for _, x := range r.Readings {
		if ctx.Cylinders > 1 && x.Label == "" && x.Dive == 0 && !x.Both {
			return "ask"
		}
		x.Asked = 0
		parts = append(parts, describeReading(x))
	}
	if r.AirPoint.Known() {
		parts = append(parts, fmt.Sprintf("air=%v", float64(r.AirPoint)))
	}
	if slices.ContainsFunc(r.Readings, func(x Reading) bool { return x.Percent == 0 }) {
		return "nothing"
	}
	return strings.Join(parts, " ")
}

// TestEveryday goes through testdata/replies/everyday: how people say what an
// analyser showed. Nothing may be taken for what it is not, and few may be asked
// about that say enough.
func TestEveryday(t *testing.T) {
	for _, file := range strangerFiles(t, "everyday") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) {
			honest, missed := 0, 0
			for n, line := range readLines(t, file) {
				phrase, ctx, want, ok := strangerLine(t, line, language)
				if !ok {
					continue
				}
				got := outcome(Parse(phrase, ctx), ctx)
				if want != "ask" {
					honest++
				}
				switch {
				case got == want:
				case got == "ask":
					missed++
				default:
					t.Errorf("%s:%d: %q: got %s, want %s", language, n+1, phrase, got, want)
				}
			}
			if honest < 100 || missed*100 >= mostAsked*honest {
				t.Errorf("%d of %d phrases that say enough are asked about, want fewer than %d in a hundred of 100", missed,
					honest, mostAsked)
			}
		})
	}
}
