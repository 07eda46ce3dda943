package reply

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gasmuster/internal/gas"
)

var update = flag.Bool("update", false, "rewrite the expected column of testdata/replies")

const repliesDir = "../../../testdata/replies"

// TestReplies goes through testdata/replies: what people type, what is known
// of them, what is understood.
func TestReplies(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(repliesDir, "*.txt"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no corpus in %s: %v", repliesDir, err)
	}
	all := 0
	for _, file := range files {
		all += len(readLines(t, file))
		language := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(language, func(t *testing.T) { playReplies(t, file, language) })
	}
	if have := len(vocabularies()); all < 600 || len(files) != have {
		t.Errorf("%d replies in %d files, want at least 600 and a file for each of %d languages", all, len(files), have)
	}
}

func playReplies(t *testing.T, file, language string) {
	lines := readLines(t, file)
	checked := 0
	for n, line := range lines {
		if line == "" || strings.HasPrefix(line, "//") {
			continue
		}
		parts := strings.Split(line, " | ")
		if len(parts) != 3 && !(*update && len(parts) == 2) {
			t.Errorf("%s:%d: %d columns, want 3: %s", file, n+1, len(parts), line)
			continue
		}
		text := strings.NewReplacer(`\n`, "\n", `\t`, "\t").Replace(strings.TrimSpace(parts[0]))
		got := describe(Parse(text, corpusContext(t, strings.TrimSpace(parts[1]), language)))
		checked++
		if *update {
			lines[n] = fmt.Sprintf("%s | %s | %s", strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1]), got)
			continue
		}
		if want := strings.TrimSpace(parts[2]); got != want {
			t.Errorf("%s:%d: %q\n got %s\nwant %s", file, n+1, text, got, want)
		}
	}
	if checked < 40 {
		t.Errorf("%s: %d replies, want at least 40", file, checked)
	}
	if *update {
		if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func readLines(t testing.TB, file string) []string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var lines []string
	for s := bufio.NewScanner(f); s.Scan(); {
		lines = append(lines, s.Text())
	}
	return lines
}

// corpusContext reads "n=2 labels=17,22 asked=32 confirming=72.4"; the
// analysers are A and B throughout.
func corpusContext(t testing.TB, text, language string) Context {
	t.Helper()
	ctx := Context{Analysers: []string{"A", "B"}, Language: language, Cylinders: 1}
	for _, word := range strings.Fields(text) {
		key, value, _ := strings.Cut(word, "=")
		switch key {
		case "-":
		case "n":
			ctx.Cylinders = int(number(t, value))
		case "labels":
			ctx.Labels = strings.Split(strings.ReplaceAll(value, "_", " "), ",")
		case "analysers":
			ctx.Analysers = strings.Split(value, ",")
		case "asked":
			for _, a := range strings.Split(value, ",") {
				ctx.Asked = append(ctx.Asked, gas.Percent(number(t, a)))
			}
		case "confirming":
			ctx.Confirming = gas.Percent(number(t, value))
		default:
			t.Fatalf("context %q: unknown %q", text, key)
		}
	}
	return ctx
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// describe writes a result on one line.
func describe(r Result) string {
	var parts []string
	if r.Correction {
		parts = append(parts, "correction")
	}
	if r.Again {
		parts = append(parts, "again")
	}
	for _, x := range r.Readings {
		parts = append(parts, describeReading(x))
	}
	if r.AirPoint.Known() {
		parts = append(parts, fmt.Sprintf("air-point(%v)", float64(r.AirPoint)))
	}
	if r.Analyser != "" && len(r.Readings) == 0 {
		parts = append(parts, "analyser("+r.Analyser+")")
	}
	if r.MoveTo != "" {
		parts = append(parts, fmt.Sprintf("move(%s>%s)", r.MoveFrom, r.MoveTo))
	} else if r.Label != "" {
		parts = append(parts, "label("+r.Label+")")
	}
	if r.Intent != None {
		parts = append(parts, string(r.Intent))
	}
	for _, d := range r.Unclear {
		parts = append(parts, describeDoubt(d))
	}
	return strings.Join(parts, " ")
}

func describeReading(x Reading) string {
	var b strings.Builder
	if x.Label != "" {
		fmt.Fprintf(&b, "%s:", x.Label)
	}
	if x.Dive > 0 {
		fmt.Fprintf(&b, "dive%d:", x.Dive)
	}
	if x.Asked.Known() {
		fmt.Fprintf(&b, "asked%v:", float64(x.Asked))
	}
	if x.Both {
		b.WriteString("both:")
	}
	fmt.Fprintf(&b, "%v", float64(x.Percent))
	if x.Analyser != "" {
		fmt.Fprintf(&b, "@%s", x.Analyser)
	}
	return b.String()
}

func describeDoubt(d Doubt) string {
	s := fmt.Sprintf("%s?(%s", d.Why, strings.ReplaceAll(d.Text, "\n", `\n`))
	if d.Suggest.Known() {
		s += fmt.Sprintf(" > %v", float64(d.Suggest))
	}
	if d.Label != "" {
		s += " for " + d.Label
	}
	return s + ")"
}
