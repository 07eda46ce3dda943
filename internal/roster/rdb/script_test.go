package rdb_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	numbered  = regexp.MustCompile(`\b(KEYS|ARGV)\[(\d+)\]`)
	answers   = regexp.MustCompile(`\breturn '([^']*)'`)
	statement = regexp.MustCompile(`(?m)^-- (KEYS|ARGV|Returns)\b`)
)

// The header of every script names its keys, its arguments and its answers: what
// the code uses by its number or returns as a word is in there.
func TestScriptHeaders(t *testing.T) {
	files, err := filepath.Glob("scripts/*.lua")
	must(t, err)
	if len(files) < 10 {
		t.Fatalf("only %d scripts", len(files))
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		must(t, err)
		header, code, _ := strings.Cut(string(b), "\n\n")
		if got := len(statement.FindAllString(header, -1)); got != 3 {
			t.Errorf("%s: its header has %d of KEYS, ARGV and Returns", file, got)
			continue
		}
		said := map[string]string{}
		said["KEYS"], said["ARGV"], _ = strings.Cut(header, "-- ARGV")
		_, said["KEYS"], _ = strings.Cut(said["KEYS"], "-- KEYS")
		said["ARGV"], said["Returns"], _ = strings.Cut(said["ARGV"], "-- Returns")
		for _, use := range numbered.FindAllStringSubmatch(code, -1) {
			if !regexp.MustCompile(`\b` + use[2] + `\b`).MatchString(said[use[1]]) {
				t.Errorf("%s uses %s, which its header doesn't name", file, use[0])
			}
		}
		for _, word := range answers.FindAllStringSubmatch(code, -1) {
			if !strings.Contains(said["Returns"], "'"+word[1]+"'") {
				t.Errorf("%s returns %q, which its header doesn't name", file, word[1])
			}
		}
	}
}
