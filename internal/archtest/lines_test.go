package archtest

import (
	"go/scanner"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// widest is the most characters of a line of code; a tab is one.
const widest = 120

// TestLinesAreNarrow: what is quoted whole (a page, a document, a script) keeps
// its lines, and so does a line whose reason for a finding has to stand on it.
func TestLinesAreNarrow(t *testing.T) {
	seen := 0
	for _, path := range goFiles(t) {
		seen++
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		whole := quotedWhole(src)
		for n, line := range strings.Split(string(src), "\n") {
			if w := utf8.RuneCountInString(line); w > widest && !whole[n+1] && !strings.Contains(line, "#nosec") {
				t.Errorf("%s:%d is %d characters wide; the most is %d", path, n+1, w, widest)
			}
		}
	}
	if seen < 500 {
		t.Errorf("only %d files were looked at", seen)
	}
}

func TestQuotedWhole(t *testing.T) {
	src := "package a\n\nvar b = `one\ntwo`\n\nvar c = \"three\"\n"
	if got := quotedWhole([]byte(src)); !got[3] || !got[4] || got[6] || got[1] {
		t.Errorf("quotedWhole gives lines %v, want 3 and 4", got)
	}
}

// quotedWhole gives the lines on which a raw string stands.
func quotedWhole(src []byte) map[int]bool {
	files := token.NewFileSet()
	file := files.AddFile("", files.Base(), len(src))
	var s scanner.Scanner
	s.Init(file, src, nil, 0)
	lines := map[int]bool{}
	for {
		pos, tok, text := s.Scan()
		if tok == token.EOF {
			return lines
		}
		if tok == token.STRING && strings.HasPrefix(text, "`") {
			for n := file.Line(pos); n <= file.Line(pos)+strings.Count(text, "\n"); n++ {
				lines[n] = true
			}
		}
	}
}

// goFiles are the paths of all Go files of the repository, from here.
func goFiles(t *testing.T) []string {
	t.Helper()
	var list []string
	for _, root := range []string{"../../cmd", "../../internal"} {
		err := filepath.WalkDir(root, func(path string, _ os.DirEntry, err error) error {
			if err == nil && filepath.Ext(path) == ".go" {
				list = append(list, path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return list
}

// mostLines is the most lines of a file, and of a file of tests.
const mostLines, mostTestLines = 350, 500

func TestFilesAreShort(t *testing.T) {
	for _, path := range goFiles(t) {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		most := mostLines
		if strings.HasSuffix(path, "_test.go") {
			most = mostTestLines
		}
		if n := strings.Count(string(src), "\n"); n > most {
			t.Errorf("%s has %d lines; the most is %d", path, n, most)
		}
	}
}
