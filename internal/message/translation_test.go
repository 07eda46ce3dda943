package message

import (
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/BurntSushi/toml"
)

// allLanguages are those that there are catalogues for, offered or not.
func allLanguages(t *testing.T) []string {
	t.Helper()
	files, err := catalogue.ReadDir("catalogue")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, f := range files {
		parts := strings.Split(f.Name(), ".")
		if len(parts) != 3 {
			t.Fatalf("%s: want <area>.<language>.toml", f.Name())
		}
		seen[parts[1]] = true
	}
	return slices.Sorted(maps.Keys(seen))
}

// TestTranslations holds every translation against the English text: nothing
// is missing, left over, lost or left in English, in any plural form. For a
// language that isn't offered yet it only lists what is missing (go test -v).
func TestTranslations(t *testing.T) {
	english := entries(t, "en")
	terms := readGlossary(t)
	for _, tag := range allLanguages(t) {
		if tag == "en" {
			continue
		}
		t.Run(tag, func(t *testing.T) {
			report := t.Errorf
			if !slices.Contains(completeLanguages, tag) {
				report = t.Logf
			}
			c := comparison{tag: tag, english: english, mine: entries(t, tag), terms: terms,
				writer: read([]string{tag}).writer(Reader{Language: tag})}
			for _, p := range c.problems() {
				report("%s", p)
			}
		})
	}
}

// A comparison of one language with English.
type comparison struct {
	tag           string
	english, mine map[string]map[string]string
	terms         glossary
	writer        writer
	found         []string
}

func (c *comparison) say(key, form, format string, args ...any) {
	c.found = append(c.found, fmt.Sprintf("%s %s.%s: ", c.tag, key, form)+fmt.Sprintf(format, args...))
}

func (c *comparison) problems() []string {
	for _, key := range slices.Sorted(maps.Keys(c.english)) {
		if _, ok := c.mine[key]; !ok {
			c.say(key, "other", "missing: %q", c.english[key]["other"])
			continue
		}
		c.key(key)
	}
	for _, key := range slices.Sorted(maps.Keys(c.mine)) {
		if _, ok := c.english[key]; !ok {
			c.say(key, "other", "is no key of the English catalogues")
		}
	}
	return c.found
}

// oneIsSeveral are the languages whose form "one" is for 0 too (CLDR plural
// rules), so that the number has to be said in it.
var oneIsSeveral = []string{"fr", "pt"}

func (c *comparison) key(key string) {
	english := c.english[key]
	all := placeholders(english)
	for form, text := range c.mine[key] {
		from := english["other"]
		if form == "one" && english["one"] != "" {
			from = english["one"]
		}
		need := all
		if droppable(c.tag, form) {
			need = slices.DeleteFunc(slices.Clone(all), func(s string) bool { return s == "count" })
		}
		have := placeholders(map[string]string{form: text})
		for _, p := range need {
			if !slices.Contains(have, p) && (strings.Contains(english["other"], "{{."+p+"}}") || form == "one") {
				c.say(key, form, "{{.%s}} is lost: %q", p, text)
			}
		}
		for _, p := range have {
			if !slices.Contains(all, p) {
				c.say(key, form, "{{.%s}} is no value of this key: %q", p, text)
			}
		}
		c.text(key, form, from, text)
	}
	c.plurals(key)
}

// droppable tells whether a form stands for one number only, so that it may
// say it in words.
func droppable(tag, form string) bool {
	return form == "zero" || form == "two" || form == "one" && !slices.Contains(oneIsSeveral, tag)
}

// plurals writes the key with every count from 0 to 120 where English tells
// one from many: no form may be missing.
func (c *comparison) plurals(key string) {
	if c.english[key]["one"] == "" && len(c.mine[key]) < 2 {
		return
	}
	for n := range 121 {
		values := map[string]any{}
		for _, p := range placeholders(c.mine[key]) {
			values[p] = "x"
		}
		if _, err := c.writer.localize(key, values, n, true); err != nil {
			c.say(key, "?", "no form for %d: %v", n, err)
			return
		}
	}
}

var (
	letters    = regexp.MustCompile(`\p{L}{3,}`)
	units      = regexp.MustCompile(`\bmin\b`) // minutes, as everywhere
	commands   = regexp.MustCompile(`(?:^|[^\w{}.])(/[a-z]+)`)
	commaList  = regexp.MustCompile(`\d,\d+, ?\d`)
	twoBlanks  = regexp.MustCompile(`\S  +\S`)
	symbolList = []string{"✅", "⚠️", "⛔", "❓", "•", "→"}
)

// text compares one text with the English one.
func (c *comparison) text(key, form, english, text string) {
	bare := placeholder.ReplaceAllString(text, "")
	if text == english && letters.MatchString(c.terms.withoutKept(bare)) && !slices.Contains(sameInBoth[c.tag], key) {
		c.say(key, form, "is left in English: %q", text)
	}
	for _, s := range symbolList {
		if strings.Count(english, s) != strings.Count(text, s) {
			c.say(key, form, "%s is lost or added: %q", s, text)
		}
	}
	for _, m := range commands.FindAllStringSubmatch(english, -1) {
		if !strings.Contains(text, m[1]) {
			c.say(key, form, "%s is lost: %q", m[1], text)
		}
	}
	for _, r := range bare {
		if unicode.Is(unicode.Nd, r) && (r < '0' || r > '9') || unicode.Is(unicode.Bidi_Control, r) {
			c.say(key, form, "%U has no place in it: %q", r, text)
		}
	}
	if commaList.MatchString(text) || twoBlanks.MatchString(strings.TrimSpace(text)) {
		c.say(key, form, "numbers or words hard to tell apart: %q", text)
	}
	for _, p := range c.terms.lost(c.tag, placeholder.ReplaceAllString(english, ""), bare) {
		c.say(key, form, "%s: %q", p, text)
	}
}

// sameInBoth are the keys whose text is rightly the same as in English.
var sameInBoth = map[string][]string{
	"es": {"check.name.gas"},
	"fr": {"desk.menu", "desk.messages", "desk.plan.altitude", "desk.plan.minutes", "desk.plan.site", "desk.signatures",
		"page.menu", "unit.air", "label.air", "label.air.mod"},
	"de": {"desk.name", "desk.person.n", "desk.team", "check.name.gas", "time.month.Apr", "time.month.Aug",
		"time.month.Sep", "time.month.Nov"},
	"it": {"check.name.gas"},
	"pt": {"desk.menu", "desk.plan.altitude", "page.menu"},
	"nl": {"desk.menu", "desk.after", "desk.week", "desk.plan.water", "check.name.gas", "page.menu", "limit.team",
		"diver.analyser.named", "papers.chart.analyser"},
}

// glossary is glossary.toml: term, language, stems.
type glossary struct {
	kept  []string
	terms map[string]map[string][]string
}

func readGlossary(t *testing.T) glossary {
	t.Helper()
	b, err := os.ReadFile("glossary.toml")
	if err != nil {
		t.Fatal(err)
	}
	var terms map[string]map[string][]string
	if err := toml.Unmarshal(b, &terms); err != nil {
		t.Fatalf("glossary.toml: %v", err)
	}
	g := glossary{kept: terms["kept"]["terms"], terms: terms}
	delete(terms, "kept")
	if len(g.kept) == 0 || len(terms) < 10 {
		t.Fatalf("glossary.toml: %d kept, %d terms", len(g.kept), len(terms))
	}
	return g
}

// withoutKept is text without what every language keeps.
func (g glossary) withoutKept(text string) string {
	for _, k := range g.kept {
		text = strings.ReplaceAll(text, k, "")
	}
	return units.ReplaceAllString(commands.ReplaceAllString(text, ""), "")
}

// lost are the terms of the English text that the other one has no word for.
func (g glossary) lost(tag, english, text string) (lost []string) {
	for _, k := range g.kept {
		if regexp.MustCompile(`\b`+k+`\b`).MatchString(english) && !strings.Contains(text, k) {
			lost = append(lost, k+" is lost")
		}
	}
	for _, term := range slices.Sorted(maps.Keys(g.terms)) {
		stems := g.terms[term]
		if has(english, stems["en"]) && !has(text, stems[tag]) {
			lost = append(lost, fmt.Sprintf("%q is called %q in the glossary", term, stems[tag]))
		}
	}
	return lost
}

func has(text string, stems []string) bool {
	lower := strings.ToLower(text)
	return slices.ContainsFunc(stems, func(s string) bool { return strings.Contains(lower, s) })
}

func TestGlossaryIsWhole(t *testing.T) {
	g := readGlossary(t)
	for term, stems := range g.terms {
		for _, tag := range append(allLanguages(t), "en") {
			if len(stems[tag]) == 0 {
				t.Errorf("%s: no word in %s", term, tag)
			}
		}
		for tag, words := range stems {
			for _, w := range words {
				if w != strings.ToLower(w) {
					t.Errorf("%s, %s: %q is compared in lower case", term, tag, w)
				}
			}
		}
	}
}
