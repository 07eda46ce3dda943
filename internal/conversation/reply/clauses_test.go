package reply

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestClauses: each language has each kind of clause that a reading has room
// for, so that a hole in one of them is seen.
func TestClauses(t *testing.T) {
	kinds := map[string]map[string]bool{}
	for _, file := range strangerFiles(t, "clauses") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		for n, line := range readLines(t, file) {
			kind, rest, cut := strings.Cut(line, " | ")
			phrase, ctx, want, ok := strangerLine(t, rest, language)
			if !cut || !ok {
				continue
			}
			if kinds[kind] == nil {
				kinds[kind] = map[string]bool{}
			}
			kinds[kind][language] = true
			r := Parse(phrase, ctx)
			if got := outcome(r, ctx); got != want {
				t.Errorf("%s:%d: %s: %q: got %s, want %s: %s", language, n+1, kind, phrase, got, want, describe(r))
			}
			checkLater(t, kind, phrase, r)
		}
	}
	for kind, languages := range kinds {
		for language := range vocabularies() {
			if !languages[language] {
				t.Errorf("%s: no clause of the kind %s", language, kind)
			}
		}
	}
	if len(kinds) < 18 {
		t.Errorf("%d kinds of clauses, want 18", len(kinds))
	}
}

// checkLater: of three cylinders the rest are two.
func checkLater(t *testing.T, kind, phrase string, r Result) {
	t.Helper()
	want := map[string]int{"later": 1, "rest": 2}[kind]
	if len(r.Later) != want {
		t.Errorf("%q: %v is done later, want %d cylinders", phrase, r.Later, want)
	}
}
