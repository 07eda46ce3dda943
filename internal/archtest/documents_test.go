package archtest

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/app"
)

// documents are what people read about the code.
func documents(t *testing.T) map[string]string {
	t.Helper()
	names, err := filepath.Glob("../../docs/*.md")
	if err != nil || len(names) < 5 {
		t.Fatalf("found %v, %v in docs", names, err)
	}
	texts := map[string]string{}
	for _, name := range append(names, "../../README.md", "../../DEVELOPERS.md") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		texts[filepath.Base(name)] = string(text)
	}
	return texts
}

var (
	quoted   = regexp.MustCompile("`([^`\n]+)`")
	aFile    = regexp.MustCompile(`^[\w.-]+(/[\w.<>-]+)*(/|\.(go|md|toml|lua|json|csv|txt|golden|yml))$`)
	aTarget  = regexp.MustCompile(`\bmake ([a-z][a-z-]*)`)
	aSetting = regexp.MustCompile(`\bGASMUSTER_[A-Z_]+[A-Z]\b`)
	aLink    = regexp.MustCompile(`\]\(([^)#]+)\)`)
)

// Every file that a document names is there. A package's file is named from
// internal/ on, or from the root; <name> stands for any.
func TestNamedFilesExist(t *testing.T) {
	looked := 0
	for document, text := range documents(t) {
		for _, m := range quoted.FindAllStringSubmatch(text, -1) {
			if name := m[1]; aFile.MatchString(name) && strings.Contains(name, "/") {
				looked++
				if !isThere(name) {
					t.Errorf("%s names %s, which is nowhere", document, name)
				}
			}
		}
	}
	if looked < 20 {
		t.Errorf("%d files were looked for: does the pattern still find them?", looked)
	}
}

func isThere(name string) bool {
	pattern := regexp.MustCompile(`<\w+>`).ReplaceAllString(name, "*")
	return slices.ContainsFunc([]string{"../..", "../../internal", "../../internal/conversation"}, func(root string) bool {
		found, err := filepath.Glob(filepath.Join(root, pattern))
		return err == nil && len(found) > 0
	})
}

// A link between documents leads somewhere.
func TestLinkedDocumentsExist(t *testing.T) {
	for document, text := range documents(t) {
		folder := "../.."
		if document != "README.md" && document != "DEVELOPERS.md" {
			folder = "../../docs"
		}
		for _, m := range aLink.FindAllStringSubmatch(text, -1) {
			if strings.Contains(m[1], "://") {
				continue
			}
			if _, err := os.Stat(filepath.Join(folder, m[1])); err != nil {
				t.Errorf("%s links to %s, which is nowhere", document, m[1])
			}
		}
	}
}

// What a document says to type as "make TARGET" can be made.
func TestNamedTargetsExist(t *testing.T) {
	makefile, err := os.ReadFile("../../Makefile")
	if err != nil {
		t.Fatal(err)
	}
	for document, text := range documents(t) {
		for _, m := range aTarget.FindAllStringSubmatch(strings.Join(quoted.FindAllString(text, -1), "\n"), -1) {
			if !regexp.MustCompile(`(?m)^` + m[1] + `:`).Match(makefile) {
				t.Errorf("%s names make %s, which the Makefile has not", document, m[1])
			}
		}
	}
}

// README has every setting, and no document has one that the program does not know.
func TestNamedSettingsExist(t *testing.T) {
	var known []string
	for _, s := range (app.Config{}).Settings() {
		known = append(known, s.Name)
	}
	texts := documents(t)
	for _, name := range known {
		if !strings.Contains(texts["README.md"], "| "+name+" |") {
			t.Errorf("README.md has no row for %s", name)
		}
	}
	for document, text := range texts {
		for _, name := range aSetting.FindAllString(text, -1) {
			if !slices.Contains(known, strings.TrimSuffix(name, "_FILE")) {
				t.Errorf("%s names %s, which the program refuses", document, name)
			}
		}
	}
}

// The table of packages in DEVELOPERS.md is the one that the code is held to.
func TestTheTableOfArrowsIsTold(t *testing.T) {
	row := regexp.MustCompile("(?m)^\\| `(internal/[a-z/]+|cmd/bot)` \\| [^|]+ \\| ([^|]+) \\|$")
	told := map[string][]string{}
	for _, m := range row.FindAllStringSubmatch(documents(t)["DEVELOPERS.md"], -1) {
		told[m[1]] = toldImports(m[2])
	}
	for dir, allowed := range arrows {
		slices.Sort(allowed)
		got, there := told[dir]
		if !there {
			t.Errorf("DEVELOPERS.md has no row for %s", dir)
		} else if slices.Sort(got); !slices.Equal(got, slices.Compact(allowed)) {
			t.Errorf("DEVELOPERS.md says that %s may import %v; the code is held to %v", dir, got, allowed)
		}
	}
	for dir := range told {
		if _, known := arrows[dir]; !known && !isTestOnly(dir) {
			t.Errorf("DEVELOPERS.md has a row for %s, which is no package", dir)
		}
	}
}

// toldImports reads "gas, conversation/reply" as packages; "nothing of ours" is none,
// "any" is every one, and "delivery and below" what channels share.
func toldImports(cell string) (all []string) {
	for _, name := range strings.Split(cell, ", ") {
		switch name {
		case "nothing of ours":
		case "any":
			all = append(all, "*")
		case "delivery and below":
			all = append(all, belowDelivery("internal/delivery")...)
		default:
			all = append(all, "internal/"+name)
		}
	}
	return all
}
