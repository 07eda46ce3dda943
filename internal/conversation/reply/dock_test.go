package reply

import (
	"path/filepath"
	"strings"
	"testing"
)

// mostAskedOnDocks is how many in a hundred of those sentences may be asked about:
// they are kept as they were written, with what is asked about on purpose.
const mostAskedOnDocks = 16

// TestDock goes through testdata/replies/dock: what people on a dock say, in sets
// that were written before they were run (HOW.md). Nothing may be taken for what
// it is not.
func TestDock(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(repliesDir, "dock", "*", "*.txt"))
	if err != nil || len(files) < 20 {
		t.Fatalf("%d files, want 20 at least (%v)", len(files), err)
	}
	refusing := 0
	for _, file := range files {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		set := filepath.Base(filepath.Dir(file))
		t.Run(set+"/"+language, func(t *testing.T) {
			honest, missed := 0, 0
			for n, line := range readLines(t, file) {
				phrase, ctx, want, ok := strangerLine(t, line, language)
				if !ok {
					continue
				}
				got := strings.Join(strings.Fields(outcome(Parse(phrase, ctx), ctx)), " ")
				if want != "ask" {
					honest++
				} else {
					refusing++
				}
				switch {
				case got == want:
				case got == "ask":
					missed++
				default:
					t.Errorf("%s:%d: %q: got %s, want %s", language, n+1, phrase, got, want)
				}
			}
			if honest < 20 || missed*100 > mostAskedOnDocks*honest {
				t.Errorf("%d of %d that say enough are asked about", missed, honest)
			}
			t.Logf("%d of %d asked about", missed, honest)
		})
	}
	if refusing < 500 {
		t.Errorf("%d sentences that do not say enough, want 500", refusing)
	}
}
