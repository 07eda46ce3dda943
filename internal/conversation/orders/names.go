package orders

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"

	"gasmuster/internal/roster"
)

// longestName is how many words a name may have.
const longestName = 8

// Named finds whom the first words of args mean: the longest run of words
// that names somebody wholly or begins somebody's name, ignoring case and
// accents. name is what was taken for the name, rest what follows it.
//
// "@p3" is the person with that id: a form that names a person means that one,
// whatever anybody is called.
func Named(trip *roster.Trip, args string) (found []*roster.Person, name, rest string) {
	words := strings.Fields(args)
	if p := marked(trip, words); p != nil {
		return []*roster.Person{p}, p.Name, strings.Join(words[1:], " ")
	}
	for n := min(len(words), longestName); n > 0; n-- {
		name = strings.Join(words[:n], " ")
		if found = matching(trip, name); len(found) > 0 {
			found, n = unswallowed(trip, found, words, n)
			return found, strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		}
	}
	if len(words) == 0 {
		return nil, "", ""
	}
	return nil, words[0], strings.Join(words[1:], " ")
}

// unswallowed gives words back that may be no part of the name: "Max gas" begins
// the name of Max Gasparini, and says of Max that it is for the gas. Where that is
// another person, it is asked who is meant.
func unswallowed(trip *roster.Trip, found []*roster.Person, words []string, n int) ([]*roster.Person, int) {
	for m := n - 1; m > 0; m-- {
		if !saysMore(trip, words[m]) {
			continue
		}
		shorter := matching(trip, strings.Join(words[:m], " "))
		others := slices.DeleteFunc(slices.Clone(shorter), func(p *roster.Person) bool { return slices.Contains(found, p) })
		whole := len(found) == 1 && FoldName(found[0].Name) == FoldName(strings.Join(words[:n], " "))
		switch {
		case len(shorter) == 0, len(others) == 0 && whole:
		case len(others) == 0 && len(shorter) == len(found):
			return found, m
		case len(shorter) == 1:
			return append(slices.Clone(found), others...), m
		}
	}
	return found, n
}

// saysMore tells whether a word behind a name may say what a command is to do: a
// number, a label, an analyser, a word of the command.
func saysMore(trip *roster.Trip, word string) bool {
	label := func(p *roster.Person) bool { return Labelled(p, word) != nil }
	return strings.ContainsFunc(word, unicode.IsDigit) || slices.ContainsFunc(trip.People, label) ||
		KnownAnalyser(trip, word) || commandWords[strings.ToLower(word)]
}

// commandWords are the words that commands take behind a name.
var commandWords = map[string]bool{"dock": true, "boat": true, "on": true, "air": true, "by": true, "gas": true,
	"gear": true, "other": true, "off": true, "all": true, "team": true, "dive": true, "because": true, "not": true}

func marked(trip *roster.Trip, words []string) *roster.Person {
	if len(words) == 0 || !strings.HasPrefix(words[0], "@") {
		return nil
	}
	if p := trip.Person(roster.PersonID(words[0][1:])); p != nil && !p.Erased {
		return p
	}
	return nil
}

// matching are the people called name; without one, those whose name, or a
// later word of it, begins with name.
func matching(trip *roster.Trip, name string) []*roster.Person {
	want := FoldName(name)
	if want == "" {
		return nil
	}
	var whole, begun []*roster.Person
	for _, p := range trip.People {
		full := FoldName(p.Name)
		switch {
		case p.Erased:
		case full == want:
			whole = append(whole, p)
		case strings.HasPrefix(full, want) || strings.Contains(full, " "+want):
			begun = append(begun, p)
		}
	}
	if len(whole) > 0 {
		return whole
	}
	return begun
}

// FoldName makes "INES" and "Inês" equal.
func FoldName(s string) string {
	bare := transform.Chain(norm.NFKD, runes.Remove(runes.In(unicode.Mn)), norm.NFC, cases.Fold())
	folded, _, err := transform.String(bare, strings.Join(strings.Fields(s), " "))
	if err != nil {
		return strings.ToLower(s)
	}
	return folded
}
