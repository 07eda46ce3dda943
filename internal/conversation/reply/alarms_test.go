package reply

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestAlarms goes through testdata/replies/alarms: words that a leader must hear at
// once, and what they are about (HOW.md). Ada is somebody else on the trip.
func TestAlarms(t *testing.T) {
	for _, file := range strangerFiles(t, "alarms") {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) {
			seen := map[Alarm]int{}
			for n, line := range readLines(t, file) {
				phrase, want, ok := strings.Cut(line, " | ")
				if !ok {
					t.Fatalf("%s:%d: %q has no intention", language, n+1, line)
				}
				ctx := corpusContext(t, "labels=17 asked=32", language)
				ctx.Others = []string{"Ada"}
				r := Parse(phrase, ctx)
				got := "none"
				if r.Intent == Alarmed {
					got = string(r.Alarm)
				}
				if got != want {
					t.Errorf("%s:%d: %q: got %s, want %s: %s", language, n+1, phrase, got, want, describe(r))
				}
				seen[Alarm(want)]++
			}
			if seen[WrongCylinder] < 8 || seen[Distress] < 8 || seen[BadGas] < 2 {
				t.Errorf("too few of a class: %v", seen)
			}
		})
	}
}
