package archtest

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every test that a document names as holding something is there.
func TestNamedTestsExist(t *testing.T) {
	root := filepath.Join("..", "..")
	var document []byte
	for _, name := range []string{"DEVELOPERS.md", "docs/threats.md", "docs/limits.md", "docs/scaling.md"} {
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		document = append(document, text...)
	}
	defined := map[string]bool{}
	err := filepath.WalkDir(filepath.Join(root, "internal"), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		for _, m := range regexp.MustCompile(`(?m)^func ((?:Test|Fuzz|Benchmark)\w+)`).FindAllSubmatch(source, -1) {
			defined[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`\b(?:Test|Fuzz|Benchmark)[A-Z]\w+`).FindAllString(string(document), -1)
	if len(named) < 100 {
		t.Errorf("the documents name %d tests: is the table of threats gone?", len(named))
	}
	for _, name := range named {
		if !defined[name] {
			t.Errorf("a document names %s, which is nowhere", name)
		}
	}
}
