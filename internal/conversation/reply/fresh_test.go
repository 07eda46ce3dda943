package reply

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/gas"
)

// TestFresh goes through testdata/replies/fresh: what people wrote who had not read
// the vocabularies (HOW.md). Nothing that is none may be recorded, no answer may say
// that a cylinder stayed with its diver that does not, and few readings are asked back.
func TestFresh(t *testing.T) {
	eachFresh(t, "fresh", func(t *testing.T, file, language string) {
		honest, missed, nothing := playFresh(t, file, language)
		if honest < leastHonest || nothing < 30 || missed*100 >= mostAsked*honest {
			t.Errorf("%d of %d readings are asked back, want fewer than %d in a hundred of %d, and %d lines of none, want 30",
				missed, honest, mostAsked, leastHonest, nothing)
		}
	})
}

// TestHard goes through testdata/replies/hard: as above, but that more are asked back.
func TestHard(t *testing.T) {
	eachFresh(t, "hard", func(t *testing.T, file, language string) {
		if honest, missed, nothing := playFresh(t, file, language); honest < 55 || nothing < 30 || missed == honest {
			t.Errorf("%d of %d readings are asked back, %d lines of none", missed, honest, nothing)
		}
	})
}

func eachFresh(t *testing.T, dir string, play func(t *testing.T, file, language string)) {
	files, err := filepath.Glob(filepath.Join(repliesDir, dir, "*", "*.txt"))
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files, want 10 at least (%v)", len(files), err)
	}
	for _, file := range files {
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(filepath.Base(filepath.Dir(file))+"/"+language, func(t *testing.T) { play(t, file, language) })
	}
}

// leastHonest is how many readings a set has: of 60 that were written down, some say what
// is asked about by design (HOW.md).
const leastHonest = 54

func playFresh(t *testing.T, file, language string) (honest, missed, nothing int) {
	for n, line := range readLines(t, file) {
		want, phrase, ok := strings.Cut(line, "\t")
		if !ok {
			t.Fatalf("%s:%d: %q has no intention", language, n+1, line)
		}
		if strings.HasPrefix(want, "boat") {
			checkFreshBoat(t, want, phrase, language)
			continue
		}
		got := freshReadings(Parse(phrase, freshContext(language)))
		switch {
		case strings.HasPrefix(want, "read "):
			honest++
		default:
			want = ""
			nothing++
		}
		switch {
		case got == strings.TrimPrefix(want, "read "):
		case got == "":
			missed++
			t.Logf("%s:%d: %q is asked back, want %s", language, n+1, phrase, want)
		default:
			t.Errorf("%s:%d: %q: recorded %s, want %q", language, n+1, phrase, got, want)
		}
	}
	return honest, missed, nothing
}

// freshContext is a person with the cylinders 17 and 22.
func freshContext(language string) Context {
	return Context{Analysers: []string{"A", "B"}, Language: language, Cylinders: 2, Labels: []string{"17", "22"},
		Asked: []gas.Percent{32, 32}}
}

// freshReadings are the readings that would be recorded, "17=31.4,22=33": one without
// a label is of 17, which was asked for.
func freshReadings(r Result) string {
	if len(r.Unclear) > 0 || r.MoveTo != "" || r.Intent == Alarmed || r.Intent == NewCylinder || r.Intent == Refilled {
		return ""
	}
	var all []string
	for _, x := range r.Readings {
		percent := strings.TrimPrefix(describeReading(Reading{Percent: x.Percent}), ":")
		switch {
		case x.Both:
			all = append(all, "17="+percent, "22="+percent)
		case x.Label == "":
			all = append(all, "17="+percent)
		default:
			all = append(all, x.Label+"="+percent)
		}
	}
	slices.Sort(all)
	return strings.Join(all, ",")
}

// checkFreshBoat holds that a no and a hedge to "was it with you all the time?" never
// say that it was. A bare yes or no depends on how the question is put.
func checkFreshBoat(t *testing.T, want, phrase, language string) {
	t.Helper()
	ctx := freshContext(language)
	ctx.Cylinders, ctx.Labels = 1, ctx.Labels[:1]
	r := Parse(phrase, ctx)
	if len(r.Readings) > 0 || r.Intent == Kept && len(r.Unclear) == 0 && want != "boat yes" {
		t.Errorf("%s: %q: %s is understood as %s", language, phrase, want, describe(r))
	}
}
