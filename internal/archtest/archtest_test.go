// Package archtest holds the arrows between the packages: who may import whom.
// DEVELOPERS.md shows the same table.
package archtest

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "gasmuster/"

// arrows name what a package may import of ours. Test files may import more:
// only what is built into the program counts.
var arrows = map[string][]string{
	"internal/gas":                {},
	"internal/evidence":           {"internal/gas"},
	"internal/roster":             {"internal/gas", "internal/evidence"},
	"internal/workers":            {},
	"internal/roster/rdb":         {"internal/roster", "internal/workers"},
	"internal/message":            {"internal/gas", "internal/roster"},
	"internal/reminders":          {"internal/gas", "internal/roster"},
	"internal/conversation/reply": {"internal/gas"},
	"internal/conversation/when":  {},
	"internal/conversation/orders": {"internal/gas", "internal/roster", "internal/message",
		"internal/conversation/reply", "internal/conversation/when"},
	"internal/conversation/newcomer": {"internal/gas", "internal/roster", "internal/message",
		"internal/conversation/reply"},
	"internal/conversation": {"internal/gas", "internal/roster", "internal/conversation/reply",
		"internal/conversation/orders", "internal/conversation/when",
		"internal/conversation/newcomer", "internal/message", "internal/reminders"},
	"internal/conversation/newtrip": {"internal/gas", "internal/roster", "internal/message",
		"internal/conversation/orders", "internal/conversation/when"},
	"internal/delivery": {"internal/gas", "internal/roster", "internal/message", "internal/conversation",
		"internal/conversation/newtrip", "internal/conversation/newcomer", "internal/workers"},
	"internal/lettering": {},
	"internal/picture":   {"internal/gas", "internal/message", "internal/lettering"},
	"internal/telegram":  append(belowDelivery("internal/delivery"), "internal/picture"),
	"internal/webchat": append(belowDelivery("internal/delivery"), "internal/picture", "internal/papers",
		"internal/web"),
	"internal/doorstep": append(belowDelivery("internal/delivery"), "internal/papers", "internal/conversation/newtrip",
		"internal/conversation/newcomer", "internal/web"),
	"internal/blends": {"internal/gas", "internal/roster"},
	"internal/papers": {"internal/gas", "internal/roster", "internal/message", "internal/blends", "internal/lettering"},
	"internal/web":    {},
	"internal/keys":   {"internal/web"},
	"internal/booking": {"internal/gas", "internal/roster", "internal/message", "internal/conversation",
		"internal/papers"},
	"internal/shopapi": append(belowDelivery("internal/delivery"), "internal/papers", "internal/blends",
		"internal/booking", "internal/keys", "internal/web"),
	"internal/desk": append(belowDelivery("internal/delivery"), "internal/papers", "internal/blends",
		"internal/booking", "internal/keys", "internal/web"),
	"internal/webhook": belowDelivery("internal/delivery"),
	"internal/app":     {"*"},
	"internal/demo":    {"*"},
	"cmd/bot":          {"internal/app", "internal/demo", "internal/gas", "internal/evidence", "internal/message"},
}

// testOnly are packages that tests alone import.
var testOnly = []string{"internal/telegram/standin", "internal/gas/gastest", "internal/message/messagetest",
	"internal/roster/rostertest", "internal/testport", "internal/archtest", "internal/e2e", "internal/browsertest",
	"internal/load", "internal/sim", "internal/sim/judge"}

func belowDelivery(with string) []string {
	return []string{with, "internal/gas", "internal/roster", "internal/message", "internal/reminders",
		"internal/conversation", "internal/conversation/reply", "internal/conversation/orders"}
}

// never is what even a package that may import everything must not import.
var never = map[string][]string{
	"internal/app":  {"internal/demo", "cmd/bot"},
	"internal/demo": {"cmd/bot"},
}

// pure packages touch neither network nor disk nor the clock's timers, and
// know no driver.
var pure = map[string][]string{
	"internal/gas":                 {"net", "os", "database/sql", "github.com/redis", "github.com/go-telegram"},
	"internal/evidence":            {"net", "os", "database/sql", "github.com/redis", "github.com/go-telegram"},
	"internal/roster":              {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/conversation/orders": {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/conversation":        {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/blends":              {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/picture":             {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/lettering":           {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/papers":              {"net", "os", "github.com/redis", "github.com/go-telegram"},
	"internal/message":             {"net", "github.com/redis", "github.com/go-telegram"},
}

func TestArrows(t *testing.T) {
	seen := map[string]bool{}
	for dir, imports := range packages(t) {
		if isTestOnly(dir) {
			continue
		}
		allowed, known := arrows[dir]
		if !known {
			t.Errorf("%s has no line in the table of arrows; give it one, here and in DEVELOPERS.md", dir)
			continue
		}
		seen[dir] = true
		for _, imp := range imports {
			checkImport(t, dir, imp, allowed)
		}
	}
	for _, must := range []string{"internal/gas", "internal/roster", "internal/conversation", "internal/delivery",
		"internal/app", "cmd/bot"} {
		if !seen[must] {
			t.Errorf("%s was not looked at: is the test looking in the right place?", must)
		}
	}
}

func checkImport(t *testing.T, dir, imp string, allowed []string) {
	t.Helper()
	ours, isOurs := strings.CutPrefix(imp, module)
	switch {
	case !isOurs:
		for _, banned := range pure[dir] {
			if imp == banned || strings.HasPrefix(imp, banned+"/") {
				t.Errorf("%s imports %s: it has to stay free of it", dir, imp)
			}
		}
	case isTestOnly(ours):
		t.Errorf("%s imports %s, which is for tests", dir, ours)
	case slices.Contains(never[dir], ours):
		t.Errorf("%s imports %s", dir, ours)
	case !slices.Contains(allowed, ours) && !slices.Contains(allowed, "*"):
		t.Errorf("%s imports %s; it may import %v", dir, ours, allowed)
	}
}

func isTestOnly(dir string) bool {
	return slices.ContainsFunc(testOnly, func(p string) bool { return dir == p || strings.HasPrefix(dir, p+"/") })
}

// packages are the directories with Go files that are no tests, with what
// those import.
func packages(t *testing.T) map[string][]string {
	t.Helper()
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	found := map[string][]string{}
	for _, top := range []string{"internal", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			dir, err := filepath.Rel(root, filepath.Dir(path))
			if err != nil {
				return err
			}
			found[filepath.ToSlash(dir)] = append(found[filepath.ToSlash(dir)], importsOf(t, path)...)
			return nil
		})
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
	}
	return found
}

func importsOf(t *testing.T, path string) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, i := range f.Imports {
		p, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
	return list
}
