package reply

import (
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// vocabularies are all languages as their files have them.
var vocabularies = sync.OnceValue(func() map[string]*vocabulary {
	all := map[string]*vocabulary{}
	for _, language := range languages() {
		all[language] = mustLoad(language)
	}
	return all
})

// What a word means is decided by the files, not by the order in which a process
// happens to read them.
func TestWordsMeanTheSameInEveryProcess(t *testing.T) {
	for _, language := range languages() {
		first := wordsOf(language)
		for range 4 {
			again := merged(language)
			if d := cmp.Diff(first.words, again.words) + cmp.Diff(first.spellings, again.spellings) + cmp.Diff(first.units,
				again.units) +
				cmp.Diff(first.numbers, again.numbers) + cmp.Diff(first.nths, again.nths) + cmp.Diff(first.alarms,
				again.alarms); d != "" {
				t.Fatalf("%s (-first +again):\n%s", language, d)
			}
		}
	}
}
