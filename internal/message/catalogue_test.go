package message

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
)

// entries are all texts of a language's catalogues: key, plural form, text.
func entries(t *testing.T, tag string) map[string]map[string]string {
	t.Helper()
	all := map[string]map[string]string{}
	files, err := catalogue.ReadDir("catalogue")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), "."+tag+".toml") {
			continue
		}
		b, err := catalogue.ReadFile("catalogue/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		var file map[string]map[string]string
		if err := toml.Unmarshal(b, &file); err != nil {
			t.Fatalf("%s: %v", f.Name(), err)
		}
		for key, forms := range file {
			if _, twice := all[key]; twice {
				t.Errorf("%s: %q is in another catalogue too", f.Name(), key)
			}
			all[key] = forms
		}
	}
	return all
}

func TestEntriesAreWholeAndNamesAreKeys(t *testing.T) {
	name := regexp.MustCompile(`^[a-z0-9-]+(\.[A-Za-z0-9_-]+)*$`)
	for _, tag := range allLanguages(t) {
		t.Run(tag, func(t *testing.T) { entriesAreWhole(t, tag, name) })
	}
}

func entriesAreWhole(t *testing.T, tag string, name *regexp.Regexp) {
	for key, forms := range entries(t, tag) {
		if !name.MatchString(key) {
			t.Errorf("%q is no key of dotted lower-case words", key)
		}
		if forms["other"] == "" {
			t.Errorf("%q has no form \"other\"", key)
		}
		for form, text := range forms {
			if strings.Contains(strings.NewReplacer("{{.", "", "}}", "").Replace(text), "{{") || strings.Contains(text, "\n") ||
				text != strings.TrimRight(text, " ") {
				t.Errorf("%s of %q is no clean line: %q", form, key, text)
			}
		}
	}
}

var placeholder = regexp.MustCompile(`\{\{\.(\w+)\}\}`)

func placeholders(forms map[string]string) []string {
	names := map[string]bool{}
	for _, text := range forms {
		for _, m := range placeholder.FindAllStringSubmatch(text, -1) {
			names[m[1]] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}

// said is one place in the sources where a line is made.
type said struct {
	at    string
	key   string   // a whole key, or the beginning of one when built up
	built bool     // key is only the beginning
	args  []string // names of the values, when they are written there
	known bool     // args is all of them
}

// sources are the lines made and the texts mentioned anywhere in the program.
func sources(t *testing.T) (lines []said, literals map[string]bool) {
	t.Helper()
	literals = map[string]bool{}
	files := token.NewFileSet()
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil || d.IsDir() || strings.HasSuffix(path, "_test.go"):
			return err
		case strings.HasSuffix(path, ".html") || strings.HasSuffix(path, ".js"):
			return mentions(path, literals)
		case !strings.HasSuffix(path, ".go"):
			return nil
		}
		f, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BasicLit:
				if s, err := strconv.Unquote(n.Value); err == nil && n.Kind == token.STRING {
					literals[s] = true
				}
			case *ast.CallExpr:
				if l, ok := saidBy(n); ok {
					l.at = files.Position(n.Pos()).String()
					lines = append(lines, l)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return lines, literals
}

var quoted = regexp.MustCompile("[\"'`]([a-z0-9][A-Za-z0-9_.-]*)[\"'`]")

// mentions adds the quoted words of a page.
func mentions(path string, literals map[string]bool) error {
	b, err := os.ReadFile(path)
	for _, m := range quoted.FindAllStringSubmatch(string(b), -1) {
		literals[m[1]] = true
	}
	return err
}

// saidBy reads a call of message.Say, Loud or Row whose key begins with a
// literal.
func saidBy(c *ast.CallExpr) (said, bool) {
	name := ""
	switch f := c.Fun.(type) {
	case *ast.SelectorExpr:
		name = f.Sel.Name
	case *ast.Ident:
		name = f.Name
	}
	if (name != "Say" && name != "Loud" && name != "Row") || len(c.Args) != 2 {
		return said{}, false
	}
	var l said
	key := c.Args[0]
	for {
		b, ok := key.(*ast.BinaryExpr)
		if !ok {
			break
		}
		key, l.built = b.X, true
	}
	lit, ok := key.(*ast.BasicLit)
	if !ok {
		return said{}, false
	}
	l.key, _ = strconv.Unquote(lit.Value)
	l.args, l.known = argNames(c.Args[1])
	return l, true
}

func argNames(e ast.Expr) (names []string, known bool) {
	if id, ok := e.(*ast.Ident); ok && id.Name == "nil" {
		return nil, true
	}
	m, ok := e.(*ast.CompositeLit)
	if !ok {
		return nil, false
	}
	for _, el := range m.Elts {
		kv, ok := el.(*ast.KeyValueExpr)
		if !ok {
			return nil, false
		}
		lit, ok := kv.Key.(*ast.BasicLit)
		if !ok {
			return nil, false
		}
		s, _ := strconv.Unquote(lit.Value)
		names = append(names, s)
	}
	return names, true
}

func TestEveryKeyThatIsSaidExistsAndHasItsValues(t *testing.T) {
	all := entries(t, "en")
	lines, _ := sources(t)
	if len(lines) < 100 {
		t.Fatalf("only %d lines found: does the test still see the sources?", len(lines))
	}
	for _, l := range lines {
		if l.built {
			if !slices.ContainsFunc(slices.Collect(maps.Keys(all)), func(k string) bool { return strings.HasPrefix(k, l.key) }) {
				t.Errorf("%s: no key begins with %q", l.at, l.key)
			}
			continue
		}
		forms, ok := all[l.key]
		if !ok {
			t.Errorf("%s: %q is not in the catalogues", l.at, l.key)
			continue
		}
		for _, p := range placeholders(forms) {
			if l.known && !slices.Contains(l.args, p) {
				t.Errorf("%s: %q needs {{.%s}}, which is not given", l.at, l.key, p)
			}
		}
	}
}

// A key counts as used when the program mentions it, or the beginning of it
// up to a dot or hyphen, or its parts where a suffix with a dot is put on.
func TestEveryKeyIsUsed(t *testing.T) {
	_, literals := sources(t)
	for _, key := range slices.Sorted(maps.Keys(entries(t, "en"))) {
		if !mentioned(key, literals) {
			t.Errorf("%q is in the catalogues and nobody says it", key)
		}
	}
}

func mentioned(key string, literals map[string]bool) bool {
	if literals[key] {
		return true
	}
	for i := range key {
		if strings.ContainsRune(".-", rune(key[i])) &&
			(literals[key[:i+1]] || (literals[key[i:]] && mentioned(key[:i], literals))) {
			return true
		}
	}
	return false
}
