package archtest

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// mostFiles is how many files a package may have without a map of them.
const mostFiles = 20

var namedFile = regexp.MustCompile(`[\w*]+\.go\b`)

// A package of many files that is built into the program says in its comment why it is one, and which file answers
// what: each by its name or, as leader_*.go, by what its name begins with.
func TestWidePackagesHaveAMap(t *testing.T) {
	folders := map[string][]string{}
	for _, path := range goFiles(t) {
		if !strings.HasSuffix(path, "_test.go") {
			folders[filepath.Dir(path)] = append(folders[filepath.Dir(path)], path)
		}
	}
	wide := 0
	for folder, files := range folders {
		if len(files) <= mostFiles || isTestOnly(strings.TrimPrefix(filepath.ToSlash(folder), "../../")) {
			continue
		}
		wide++
		for _, problem := range unmapped(packageComment(t, files), files) {
			t.Errorf("%s: %s", folder, problem)
		}
	}
	if wide == 0 {
		t.Error("no package is wide: is the test looking in the right place?")
	}
}

func TestUnmapped(t *testing.T) {
	comment := "Package a is one package because.\n\n  - b.go, c_*.go: all of it; gone.go"
	got := unmapped(comment, []string{"x/b.go", "x/c_d.go", "x/e.go", "x/doc.go"})
	want := []string{"its package comment does not say what e.go is for",
		"its package comment names gone.go, which is no file"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := unmapped("Package a: b.go.", []string{"x/b.go"}); len(got) != 1 {
		t.Errorf("got %q, want to be told that no reason is given", got)
	}
}

// unmapped tells which files the map in a package comment lacks, and what it names that
// is nowhere; files of other packages are named with their folder.
func unmapped(comment string, files []string) (problems []string) {
	if !strings.Contains(comment, "one package because") {
		problems = append(problems, "its package comment does not say that it is \"one package because ...\"")
	}
	var forms []string
	for _, at := range namedFile.FindAllStringIndex(comment, -1) {
		if at[0] == 0 || comment[at[0]-1] != '/' {
			forms = append(forms, comment[at[0]:at[1]])
		}
	}
	found := map[string]bool{}
	for _, path := range files {
		name := filepath.Base(path)
		mapped := name == "doc.go"
		for _, form := range forms {
			if fits, err := filepath.Match(form, name); err == nil && fits {
				mapped, found[form] = true, true
			}
		}
		if !mapped {
			problems = append(problems, "its package comment does not say what "+name+" is for")
		}
	}
	for _, form := range forms {
		if !found[form] {
			problems = append(problems, "its package comment names "+form+", which is no file")
		}
	}
	return problems
}

// packageComment is the package comment among files, whichever has it.
func packageComment(t *testing.T, files []string) string {
	t.Helper()
	for _, path := range files {
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments|parser.PackageClauseOnly)
		if err != nil {
			t.Fatal(err)
		}
		if text := f.Doc.Text(); strings.HasPrefix(text, "Package ") {
			return text
		}
	}
	return ""
}
