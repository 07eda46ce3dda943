package reply

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/gas"
)

// TestNatives goes through testdata/replies/natives: what people wrote who had not
// read the vocabularies (HOW.md). Nothing may be taken for what it is not, and few may
// be asked about that say enough.
func TestNatives(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(repliesDir, "natives", "first", "*.txt"))
	if err != nil || len(files) < 5 {
		t.Fatalf("%d files, want 5 at least (%v)", len(files), err)
	}
	for _, file := range files {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) {
			honest, missed, refusing := 0, 0, 0
			for _, set := range []string{"first", "second"} {
				for n, line := range readLines(t, filepath.Join(repliesDir, "natives", set, language+".txt")) {
					phrase, want, ok := strings.Cut(line, " | ")
					if !ok {
						t.Fatalf("%s:%d: %q has no intention", set, n+1, line)
					}
					got := nativeOutcome(Parse(phrase, nativeContext(language)))
					switch {
					case !strings.HasPrefix(want, "record"):
						refusing++
						if strings.HasPrefix(got, "record") || got == "kept" && want != "kept" {
							t.Errorf("%s:%d: %q: got %s, want %s", set, n+1, phrase, got, want)
						}
					case got == "ask":
						honest++
						missed++
						t.Logf("%s:%d: %q asks", set, n+1, phrase)
					default:
						honest++
						if got != want {
							t.Errorf("%s:%d: %q: got %s, want %s", set, n+1, phrase, got, want)
						}
					}
				}
			}
			if honest < 120 || refusing < 90 || missed*100 >= mostAsked*honest {
				t.Errorf("%d of %d that say enough are asked about, %d that do not", missed, honest, refusing)
			}
		})
	}
}

func nativeContext(language string) Context {
	return Context{Language: language, Labels: []string{"17", "22"}, Cylinders: 2, Analysers: []string{"A", "B"},
		Asked: []gas.Percent{32}}
}

// nativeOutcome is what is recorded where 17 was asked for, whether the cylinder
// counts as kept, or "ask" for anything else.
func nativeOutcome(r Result) string {
	switch {
	case keptOr(r):
		return "kept"
	case len(r.Unclear) > 0 || len(r.Readings) == 0 || r.Intent == NewCylinder || r.Intent == Refilled:
		return "ask"
	}
	var all []string
	for _, x := range r.Readings {
		x.Asked, x.Analyser = 0, ""
		labels := []string{x.Label}
		if x.Both {
			labels = []string{"17", "22"}
		} else if x.Label == "" {
			labels[0] = "17"
		}
		for _, l := range labels {
			all = append(all, describeReading(Reading{Label: l, Percent: x.Percent}))
		}
	}
	slices.Sort(all)
	return "record " + strings.Join(all, " ")
}
