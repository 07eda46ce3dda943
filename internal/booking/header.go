package booking

import (
	_ "embed"
	"slices"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"

	"gasmuster/internal/roster"
)

//go:embed headers.toml
var headersTOML string

// What columns, and words in their cells, are called besides their own names.
var (
	columnNames = map[string]string{}            // plain text of a header -> column, or what of a dive
	cellWords   = map[string]map[string]string{} // word of a cell -> what it may stand for
)

func init() {
	var file map[string]any
	if err := toml.Unmarshal([]byte(headersTOML), &file); err != nil {
		panic(err) // part of the program
	}
	for name, list := range file {
		if words, ok := list.(map[string]any); ok {
			for word, synonyms := range words {
				addWords(word, synonyms)
			}
			continue
		}
		columnNames[plainHeader(name)] = name
		for _, synonym := range list.([]any) {
			columnNames[plainHeader(synonym.(string))] = name
		}
	}
}

func addWords(word string, synonyms any) {
	for _, s := range append([]any{word}, synonyms.([]any)...) {
		key := strings.ToLower(s.(string))
		if cellWords[key] == nil {
			cellWords[key] = map[string]string{}
		}
		cellWords[key][word] = word
	}
}

// meant is which of the words a cell may hold it stands for, "" for none.
func meant(text string, of ...string) string {
	stands := cellWords[strings.ToLower(text)]
	for _, word := range of {
		if stands[word] != "" {
			return word
		}
	}
	return ""
}

var betweenWords = strings.NewReplacer("_", " ", "-", " ", ".", " ", "(", " ", ")", " ", "[", " ", "]", " ", ":", " ",
	"#", " ", "/", " ", ",", " ", "%", " ", "°", " ", "*", " ")

// plainHeader is a header without what stands between its words.
func plainHeader(s string) string {
	return strings.Join(strings.Fields(betweenWords.Replace(strings.ToLower(s))), " ")
}

// heading is a header as it was understood.
type heading struct {
	text   string // as it stands in the file
	column string // a column's name, "" when it is none that is known
	units  string // "m" or "ft" when it names one
}

// Parts of a dive, each with a column for every dive.
var ofADive = []string{"site", "depth", "bottom", "minutes", "water", "altitude", "interval"}

// understand finds the column that a header stands for: by its own name, or by a
// usual one, with the number of a dive and a unit in it.
func understand(text string) heading {
	h := heading{text: text}
	if name := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(text)), " ", "_"); isColumn(name) {
		h.column = name
		return h
	}
	number := 0
	var words []string
	for _, w := range strings.Fields(separateNumbers(plainHeader(text))) {
		n, err := strconv.Atoi(w)
		switch {
		case err == nil && n >= 1 && n <= roster.MaxDives && number == 0:
			number = n
		case len(words) > 0 && meant(w, "m", "ft") != "":
			h.units = meant(w, "m", "ft")
		default:
			words = append(words, w)
		}
	}
	base := baseOf(words)
	h.column = numbered(base, number)
	return h
}

// separateNumbers puts a blank between a word and the number behind it.
func separateNumbers(s string) string {
	var b strings.Builder
	last := rune(0)
	for _, r := range s {
		if r >= '0' && r <= '9' && last > '9' && !strings.HasSuffix(b.String(), "o") { // "o2" is one word
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		last = r
	}
	return b.String()
}

func baseOf(words []string) string {
	for _, w := range [][]string{words, without(words, "min", "minutes", "percent"), withoutFirst(words)} {
		if name := columnNames[strings.Join(w, " ")]; name != "" {
			return name
		}
	}
	return ""
}

func without(words []string, drop ...string) []string {
	if len(words) < 2 {
		return words
	}
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains(drop, w) })
}

// withoutFirst leaves the word "dive" away, in any language.
func withoutFirst(words []string) []string {
	if len(words) > 1 && columnNames[words[0]] == "dive" {
		return words[1:]
	}
	return words
}

// numbered is the column of a dive's part, or of what is asked for it.
func numbered(base string, number int) string {
	switch {
	case slices.Contains(ofADive, base):
		if number == 0 {
			number = map[bool]int{true: 2, false: 1}[base == "interval"]
		}
		return "dive" + strconv.Itoa(number) + "_" + base
	case base == "asked" && number > 0:
		return "asked" + strconv.Itoa(number)
	}
	return base
}

func isColumn(name string) bool {
	return slices.ContainsFunc(Columns, func(c column) bool { return c.Name == name })
}

// nearest is the column whose name is closest to a header that is none.
func nearest(text string) string {
	best, least := "", 1<<30
	for _, c := range Columns {
		if d := distance(strings.ReplaceAll(plainHeader(text), " ", "_"), c.Name); d < least {
			best, least = c.Name, d
		}
	}
	return best
}

// distance is how many letters have to be put in, taken out or changed
// (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		before := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := before
			if a[i-1] != b[j-1] {
				cost++
			}
			before = row[j]
			row[j] = min(row[j]+1, row[j-1]+1, cost)
		}
	}
	return row[len(b)]
}
