package archtest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
)

// retiredLine is where the glossary says which words are no names any more, and what
// is said instead: "tank (cylinder)".
var retiredLine = regexp.MustCompile(`(?m)^Not said any more: (.*)\.$`)

// The glossary in DEVELOPERS.md is the authority on names: a word that it retired is
// part of no exported name, no name of a field in JSON and no name of a file.
func TestRetiredWords(t *testing.T) {
	retired := retiredWords(t)
	for _, path := range goFiles(t) {
		if strings.HasSuffix(path, "_test.go") {
			continue // tests are named in sentences
		}
		for _, problem := range retiredIn(t, path, nil, retired) {
			t.Error(problem)
		}
	}
	source := "package a\ntype Tank struct { A int `json:\"bottle_size\"` }\nfunc PutTogether() {}\nfunc (Tank) ok() {}\n"
	got := retiredIn(t, "passenger.go", source, map[string]string{"tank": "cylinder", "bottle": "cylinder",
		"together": "pipeline", "passenger": "call"})
	if len(got) != 4 {
		t.Errorf("of four retired words in a source that has them, these are noticed: %q", got)
	}
}

func retiredWords(t *testing.T) map[string]string {
	document, err := os.ReadFile(filepath.Join("..", "..", "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	m := retiredLine.FindSubmatch(document)
	if m == nil {
		t.Fatalf("DEVELOPERS.md has no line like %s", retiredLine)
	}
	words := map[string]string{}
	for _, entry := range regexp.MustCompile(`(\w+) \(([^)]+)\)`).FindAllStringSubmatch(string(m[1]), -1) {
		words[strings.ToLower(entry[1])] = entry[2]
	}
	if len(words) < 10 {
		t.Errorf("only %d words are retired", len(words))
	}
	return words
}

// retiredIn tells where retired words are names; source is nil to read the file.
func retiredIn(t *testing.T, path string, source any, retired map[string]string) (problems []string) {
	f, err := parser.ParseFile(token.NewFileSet(), path, source, 0)
	if err != nil {
		t.Fatal(err)
	}
	check := func(name string) {
		for _, word := range wordsOf(name) {
			if instead, ok := retired[word]; ok {
				problems = append(problems, path+": "+name+" has the word "+word+"; say "+instead)
			}
		}
	}
	check(strings.TrimSuffix(filepath.Base(path), ".go"))
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncDecl:
			checkExported(n.Name, check)
		case *ast.TypeSpec:
			checkExported(n.Name, check)
		case *ast.ValueSpec:
			for _, name := range n.Names {
				checkExported(name, check)
			}
		case *ast.Field:
			for _, name := range n.Names {
				checkExported(name, check)
			}
			if n.Tag != nil {
				name, _, _ := strings.Cut(reflect.StructTag(strings.Trim(n.Tag.Value, "`")).Get("json"), ",")
				check(name)
			}
		}
		return true
	})
	return problems
}

func checkExported(name *ast.Ident, check func(string)) {
	if name.IsExported() {
		check(name.Name)
	}
}

var oneWord = regexp.MustCompile(`[A-Z]?[a-z0-9]+|[A-Z]+`)

// wordsOf are the words of a name, in small letters.
func wordsOf(name string) (words []string) {
	for _, w := range oneWord.FindAllString(name, -1) {
		words = append(words, strings.ToLower(w))
	}
	return words
}
