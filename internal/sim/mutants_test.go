package sim

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// mutant is one thing of the product made wrong.
type mutant struct {
	file, in, right, wrong string
	twice                  string // what else says the same, so that nobody need notice
}

func (m mutant) String() string {
	return fmt.Sprintf("%s %s: %q as %q", m.file, m.in, m.right, m.wrong)
}

// mutants reads testdata/mutants.txt: a file, "@" with a function of it, then pairs of lines, what is there after
// "-" and what comes in its place after "+"; before a pair "!" with what else says the same.
func mutants(t *testing.T) []mutant {
	t.Helper()
	text, err := os.ReadFile("testdata/mutants.txt")
	if err != nil {
		t.Fatal(err)
	}
	var list []mutant
	var m mutant
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		switch {
		case strings.HasPrefix(line, "@"):
			m.in = line[1:]
		case strings.HasPrefix(line, "!"):
			m.twice = strings.TrimSpace(line[1:])
		case strings.HasPrefix(line, "-"):
			m.right = strings.TrimSpace(line[1:])
		case strings.HasPrefix(line, "+"):
			m.wrong = strings.TrimSpace(line[1:])
			list = append(list, m)
			m.twice = ""
		case line != "" && !strings.HasPrefix(line, "#"):
			m = mutant{file: line}
		}
	}
	return list
}

// path is where the file of a mutant is.
func (m mutant) path(t *testing.T) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join("..", filepath.FromSlash(m.file)))
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// made is the file made wrong. What is to be replaced has to stand in its function once.
func (m mutant) made(t *testing.T) (string, error) {
	t.Helper()
	all, err := os.ReadFile(m.path(t))
	if err != nil {
		return "", err
	}
	before, part, after := "", string(all), ""
	if m.in != "" {
		begin := funcNamed(part, m.in)
		if begin < 0 {
			return "", fmt.Errorf("there is no one function %q", m.in)
		}
		end := begin + strings.Index(part[begin:], "\n}\n")
		if line := begin + strings.Index(part[begin:], "\n"); strings.HasSuffix(part[:line], "}") {
			end = line // all in one line
		}
		before, part, after = part[:begin], part[begin:end], part[end:]
	}
	if n := strings.Count(part, m.right); n != 1 {
		return "", fmt.Errorf("it is there %d times, want once", n)
	}
	return before + strings.Replace(part, m.right, m.wrong, 1) + after, nil
}

// funcNamed is where the one function or method of a name begins, -1 when there is none or more.
func funcNamed(text, name string) int {
	begin := -1
	for at := 0; ; {
		i := strings.Index(text[at:], "\nfunc ")
		if i < 0 {
			return begin
		}
		at += i + 1
		line, _, _ := strings.Cut(text[at:], "\n")
		_, called, _ := strings.Cut(line, "func ")
		if strings.HasPrefix(called, "(") {
			_, called, _ = strings.Cut(called, ") ")
		}
		if strings.HasPrefix(called, name+"(") {
			if begin >= 0 {
				return -1
			}
			begin = at
		}
	}
}

// Each mutant is what the list says it is: what it replaces is there, once.
func TestMutantsFit(t *testing.T) {
	for _, m := range mutants(t) {
		if _, err := m.made(t); err != nil {
			t.Errorf("%v: %v", m, err)
		}
	}
}

// A run of days notices every evidence rule and every part of a signature that is made wrong. It takes a build for
// each, so only SIM_MUTANTS=1 (all) or SIM_MUTANTS=word (those that have it in their line) does it. Days on which
// the product as it is disagrees tell nothing and are left out.
func TestDaysNoticeMutants(t *testing.T) {
	which := os.Getenv("SIM_MUTANTS")
	if which == "" {
		t.Skip("SIM_MUTANTS is not set")
	}
	days := setting(t, "SIM_DAYS", 2000)
	skip := known(t, days)
	for _, m := range mutants(t) {
		if which != "1" && !strings.Contains(m.String(), which) {
			continue
		}
		switch out, err := playWith(t, m, days, skip); {
		case err == nil && m.twice != "":
			t.Logf("not noticed, since %s: %v", m.twice, m)
		case err == nil:
			t.Errorf("NOT NOTICED %v", m)
		case !strings.Contains(out, "noticed on"):
			t.Errorf("%v failed for another reason:\n%s", m, out)
		default:
			_, how, _ := strings.Cut(out, "noticed on")
			how, _, _ = strings.Cut(how, "\n")
			t.Logf("noticed %v: on%s", m, how)
		}
	}
}

// known are the days on which the product disagrees as it is.
func known(t *testing.T, days int) string {
	t.Helper()
	var seeds []string
	for _, w := range Run(1, days, mutantEvents, true).Which {
		seed, _, _ := strings.Cut(w, " ")
		seeds = append(seeds, seed)
	}
	return "," + strings.Join(seeds, ",") + ","
}

const mutantEvents = 70

// playWith plays days with one thing of the product wrong, until one disagrees.
func playWith(t *testing.T, m mutant, days int, skip string) (string, error) {
	t.Helper()
	text, err := m.made(t)
	if err != nil {
		t.Fatalf("%v: %v", m, err)
	}
	dir := t.TempDir()
	wrong, overlay := filepath.Join(dir, "wrong.go"), filepath.Join(dir, "overlay.json")
	replaced, err := json.Marshal(map[string]map[string]string{"Replace": {m.path(t): wrong}})
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string]string{wrong: text, overlay: string(replaced)} {
		if err := os.WriteFile(name, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("go", "test", "-count=1", "-v", "-vet=off", "-overlay", overlay,
		"-run", "TestUntilOneDisagrees", "gasmuster/internal/sim")
	cmd.Env = append(os.Environ(), "SIM_MUTANTS=", "SIM_UNTIL="+fmt.Sprint(days), "SIM_SKIP="+skip)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// TestUntilOneDisagrees plays days until one disagrees that is not known for it, then those that are kept; for
// TestDaysNoticeMutants.
func TestUntilOneDisagrees(t *testing.T) {
	days, skip := setting(t, "SIM_UNTIL", 0), os.Getenv("SIM_SKIP")
	for seed := uint64(1); seed <= uint64(days); seed++ { // #nosec G115 -- a count
		if strings.Contains(skip, fmt.Sprintf(",%d,", seed)) {
			continue
		}
		if _, wrong := Make(seed, mutantEvents); wrong != nil {
			t.Fatalf("noticed on day %d: %s", seed, wrong.kind())
		}
	}
	for _, file := range keptFiles(t) {
		if wrong := Play(readKept(t, file)); wrong != nil && days > 0 {
			t.Fatalf("noticed on %s: %s", filepath.Base(file), wrong.kind())
		}
	}
}
