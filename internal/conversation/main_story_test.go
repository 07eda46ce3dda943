package conversation

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/message"
)

// The main story exists in every language, and whatever the language, the same
// is recorded, decided and told to the shop.
func TestMainStoriesAgree(t *testing.T) {
	want := facts(t, "de")
	if len(want) < 50 {
		t.Fatalf("only %d facts in the story", len(want))
	}
	for _, tag := range message.Languages() {
		if tag == "en" || tag == "de" {
			continue // English has all-well.txt and the rest
		}
		if d := cmp.Diff(want, facts(t, tag)); d != "" {
			t.Errorf("the story in %s went differently (-de +%s):\n%s", tag, tag, d)
		}
	}
}

// facts are the log, the news and the open questions of a story, without what
// people wrote.
func facts(t *testing.T, tag string) []string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(transcripts, "main-story."+tag+".txt"))
	if err != nil {
		t.Fatal(err)
	}
	quoted := regexp.MustCompile(`"[^"]*"`)
	var out []string
	for _, line := range strings.Split(string(b), "\n") {
		if len(line) > 3 && strings.HasPrefix(line, "  ") && strings.ContainsRune("*!?@", rune(line[2])) {
			out = append(out, quoted.ReplaceAllString(line, `""`))
		}
	}
	return out
}
