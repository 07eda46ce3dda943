package reply

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestBoatAnswers goes through testdata/replies/boat: what is typed to the boat
// question, and whether it says that the cylinder stayed with its diver (HOW.md).
func TestBoatAnswers(t *testing.T) {
	for _, file := range strangerFiles(t, "boat") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) {
			kept, asked := 0, 0
			for n, line := range readLines(t, file) {
				phrase, want, ok := strings.Cut(line, " | ")
				if !ok {
					t.Fatalf("%s:%d: %q has no intention", language, n+1, line)
				}
				r := Parse(phrase, corpusContext(t, "labels=17 asked=32", language))
				switch {
				case want == "kept":
					kept++
				case want == "ask":
					asked++
				default:
					t.Fatalf("%s:%d: unknown intention %q", language, n+1, want)
				}
				if got := keptOr(r); got != (want == "kept") {
					t.Errorf("%s:%d: %q: stayed with me is %v, want %s: %s", language, n+1, phrase, got, want, describe(r))
				}
			}
			if kept < 4 || asked < 8 {
				t.Errorf("%d that count and %d that do not, want 4 and 8", kept, asked)
			}
		})
	}
}

// keptOr tells whether the boat question is answered by: it stayed with me.
func keptOr(r Result) bool {
	clear := len(r.Unclear) == 0 && len(r.Readings) == 0
	return clear && (r.Intent == Kept || r.Intent == No && !r.Loose)
}
