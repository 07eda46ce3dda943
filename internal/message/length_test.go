package message_test

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/BurntSushi/toml"

	"gasmuster/internal/message"
	"gasmuster/internal/message/messagetest"
)

// longest is how much longer a text of another language may be than the English.
// A few words can't be cut to that: short texts may have some columns more, and
// every text a word, since others have articles where English has none.
const longest = 1.3

func mostColumns(english int) float64 {
	most := longest * float64(english)
	switch {
	case english < 12:
		return most + 8
	case english < 40:
		return most + 6
	}
	return most
}

func mostWords(english int) int { return int(math.Ceil(longest*float64(english))) + 1 }

// placeholders are measured as short values.
var placeholders = regexp.MustCompile(`\{\{\.\w+\}\}`)

// besides is the English word that stands beside a verdict of another language.
var besides = regexp.MustCompile(` ?\([A-Z][A-Z ,:?-]+\)`)

func measured(text string) string {
	return placeholders.ReplaceAllString(besides.ReplaceAllString(text, ""), "X1")
}

// Every text of every language is about as short as the English one, in every
// plural form.
func TestEveryTextIsAsShortInEveryLanguage(t *testing.T) {
	english := catalogueOf(t, "en")
	for _, tag := range message.Languages() {
		if tag == "en" {
			continue
		}
		for key, forms := range catalogueOf(t, tag) {
			for form, text := range forms {
				was, ok := english[key][form]
				if !ok {
					was = english[key]["other"]
				}
				if tooLong(measured(was), measured(text), tag) {
					t.Errorf("%s %s.%s is longer than 1.3 times the English:\n%s\n%s", tag, key, form, was, text)
				}
			}
		}
	}
}

func tooLong(english, text, tag string) bool {
	if float64(messagetest.Width(text)) > mostColumns(messagetest.Width(english)) {
		return true
	}
	return tag != "ja" && tag != "zh" && // whose words are columns
		messagetest.Words(text, tag) > mostWords(messagetest.Words(english, "en"))
}

// catalogueOf are all texts of a language, by key and plural form.
func catalogueOf(t *testing.T, tag string) map[string]map[string]string {
	t.Helper()
	all := map[string]map[string]string{}
	files, err := filepath.Glob("catalogue/*." + tag + ".toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("%s: %v", tag, err)
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		texts := map[string]map[string]string{}
		if _, err := toml.Decode(string(b), &texts); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		for key, forms := range texts {
			all[key] = forms
		}
	}
	return all
}
