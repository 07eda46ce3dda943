package app

import (
	"errors"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"

	"github.com/caarlos0/env/v11"
)

// Problem is one thing wrong with a setting.
type Problem struct {
	Name  string // the full name
	Value string // what was given, quoted; "" for secrets and what was not given
	Want  string // what would be accepted
	Soft  bool   // serve starts all the same, and says so
}

// String is the problem on one line.
func (p Problem) String() string {
	if p.Value == "" {
		return p.Name + ": " + p.Want
	}
	return p.Name + "=" + p.Value + ": " + p.Want
}

// LoadConfig reads the settings from environ ("NAME=value" each) and returns
// every problem at once. Names that begin with GASMUSTER_ and are no setting
// are problems, so that a slip of the keyboard can't switch anything off.
func LoadConfig(environ []string, readFile func(string) ([]byte, error)) (Config, []Problem) {
	given, problems := settings(environ, readFile)
	var c Config
	err := env.ParseWithOptions(&c, env.Options{Environment: given, Prefix: Prefix})
	problems = append(problems, parseProblems(err, given)...)
	if c.PublicURL == "" {
		c.PublicURL = "http://" + c.Listen
	}
	c.PublicURL = strings.TrimRight(c.PublicURL, "/")
	c.TelegramAPI = strings.TrimRight(c.TelegramAPI, "/")
	return c, firstOfEach(append(problems, c.check()...))
}

// firstOfEach leaves out what is said about a setting that could not be read
// in the first place.
func firstOfEach(problems []Problem) []Problem {
	said := map[string]bool{}
	return slices.DeleteFunc(problems, func(p Problem) bool {
		again := said[p.Name]
		said[p.Name] = true
		return again
	})
}

// FromEnvironment reads the process's own settings.
func FromEnvironment() (Config, []Problem) { return LoadConfig(os.Environ(), os.ReadFile) }

// settings keeps the names that are ours, with secrets read from their files.
func settings(environ []string, readFile func(string) ([]byte, error)) (map[string]string, []Problem) {
	given, files := map[string]string{}, map[string]string{}
	var problems []Problem
	for _, e := range environ {
		name, value, _ := strings.Cut(e, "=")
		if !strings.HasPrefix(name, Prefix) {
			continue
		}
		base, isFile := strings.CutSuffix(name, "_FILE")
		switch {
		case isSetting(name):
			given[name] = value
		case isFile && isSecret(base):
			files[base] = value
		default:
			problems = append(problems, Problem{Name: name, Want: "is not a setting" + suggestion(name)})
		}
	}
	slices.SortFunc(problems, func(a, b Problem) int { return strings.Compare(a.Name, b.Name) })
	for _, f := range fields() {
		if path, ok := files[f.name]; ok {
			problems = append(problems, fromFile(given, f.name, path, readFile)...)
		}
	}
	return given, problems
}

func fromFile(given map[string]string, name, path string, readFile func(string) ([]byte, error)) []Problem {
	if given[name] != "" {
		return []Problem{{Name: name, Want: "is given twice, also as " + name + "_FILE; keep one"}}
	}
	b, err := readFile(path)
	if err != nil {
		var pe *os.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return []Problem{{Name: name + "_FILE", Value: fmt.Sprintf("%q", path), Want: "a file that can be read: " +
			err.Error()}}
	}
	given[name] = strings.TrimRight(string(b), "\r\n")
	return nil
}

// parseProblems says which values could not be read as what they have to be.
func parseProblems(err error, given map[string]string) []Problem {
	var all env.AggregateError
	if !errors.As(err, &all) {
		return nil
	}
	var problems []Problem
	for _, e := range all.Errors {
		var pe env.ParseError
		if !errors.As(e, &pe) {
			problems = append(problems, Problem{Name: Prefix + "...", Want: e.Error()})
			continue
		}
		for _, f := range fields() {
			if f.field == pe.Name {
				problems = append(problems, Problem{Name: f.name, Value: fmt.Sprintf("%q", given[f.name]), Want: wanted(f.field)})
			}
		}
	}
	return problems
}

// wanted says what a setting that is no text has to be.
func wanted(field string) string {
	if f, ok := reflect.TypeFor[Config]().FieldByName(field); ok && f.Type.Kind() == reflect.Bool {
		return "true or false"
	}
	return "a whole number"
}

type field struct {
	name, field string
	secret      bool
}

func fields() []field {
	t := reflect.TypeFor[Config]()
	list := make([]field, 0, t.NumField())
	for i := range t.NumField() {
		f := t.Field(i)
		list = append(list, field{Prefix + f.Tag.Get("env"), f.Name, f.Type == reflect.TypeFor[Secret]()})
	}
	return list
}

func isSetting(name string) bool {
	return slices.ContainsFunc(fields(), func(f field) bool { return f.name == name })
}

func isSecret(name string) bool {
	return slices.ContainsFunc(fields(), func(f field) bool { return f.name == name && f.secret })
}

// suggestion names the setting that was probably meant.
func suggestion(name string) string {
	best, least := "", len(name)/3+1
	for _, f := range fields() {
		for _, known := range []string{f.name, f.name + "_FILE"} {
			if known == f.name+"_FILE" && !f.secret {
				continue
			}
			if d := distance(name, known); d < least {
				best, least = known, d
			}
		}
	}
	if best == "" {
		return "; the settings are listed by 'bot config'"
	}
	return "; did you mean " + best + "?"
}

// distance is the number of single-letter edits between a and b (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		left := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := left
			if a[i-1] != b[j-1] {
				change++
			}
			left = row[j]
			row[j] = min(change, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
