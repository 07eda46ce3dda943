package newtrip

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Dives typed in one go, parted by words of ten languages: "Anvil Ledge 33 m, then
// Lime Kiln 18 m after 60 min, analysers A B".

// takeDives reads dives parted by "then". whole says that no more are to come, when
// each of them is whole.
func (f *Form) takeDives(d Desk, words []string, whole bool) message.Line {
	words = f.cutAnalysers(d, words)
	parts := split(words, d.Language)
	numbers := false
	for i := range parts {
		parts[i].english = orders.English(strings.TrimRight(strings.Join(parts[i].words, " "), ",;"), d.Language)
		f.setUnit(parts[i].english)
		numbers = numbers || strings.ContainsAny(parts[i].english, "0123456789")
	}
	if f.Units == "" && numbers {
		f.Pending, f.AtOnce = strings.Join(words, " "), whole
		return message.Line{}
	}
	for i := range parts {
		next := f.another
		if i == 0 {
			next = f.open
		}
		dive := next()
		if len(f.Dives) > roster.MaxDives {
			return message.Say("newtrip.too-many", message.Args{"count": message.Count(roster.MaxDives)})
		}
		if problem := f.takeDive(d, dive, parts[i]); problem.Key != "" {
			return problem
		}
	}
	if whole {
		f.Whole, f.Named = true, true
	}
	return message.Line{}
}

// part is what was typed of one dive.
type part struct {
	words    []string
	english  string
	interval string
}

// split parts words at "then", and takes "after 60 min" out of each part.
func split(words []string, language string) []part {
	parts := []part{{}}
	for i := 0; i < len(words); i++ {
		p := &parts[len(parts)-1]
		w := strings.Trim(words[i], ",;")
		switch {
		case is("then", w, language) && len(p.words) > 0:
			parts = append(parts, part{})
		case orders.IsAfter(w, language) && i+1 < len(words) && startsWithDigit(words[i+1]):
			i++
			p.interval = strings.Trim(words[i], ",;")
			if i+1 < len(words) {
				if _, problem := orders.ReadMinutes(orders.English(p.interval+" "+words[i+1], language),
					longestInterval); problem.Key == "" {
					i++
				}
			}
		default:
			p.words = append(p.words, strings.TrimRight(words[i], ";"))
		}
	}
	return parts
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

func (f *Form) takeDive(d Desk, dive *Dive, p part) message.Line {
	if f.useSite(d, dive, p.english) {
		return f.tooDeep(dive)
	}
	plan, bottom, problem := orders.ReadDive(dive.Dive, p.english, f.unit())
	if problem.Key != "" {
		return problem
	}
	dive.Dive, dive.Bottomed = plan, dive.Bottomed || bottom
	if p.interval != "" {
		if problem := dive.setInterval(p.interval, d.Language); problem.Key != "" {
			return problem
		}
	}
	return f.tooDeep(dive)
}

// useSite takes a site that the shop used before, named by itself, with its depths.
func (f *Form) useSite(d Desk, dive *Dive, name string) bool {
	i := slices.IndexFunc(d.Sites, func(s roster.Dive) bool {
		return strings.EqualFold(s.Site, name) && (f.Units == "" || s.Depth.Unit == f.unit())
	})
	if i < 0 || dive.Site != "" {
		return false
	}
	s := d.Sites[i]
	f.Units = s.Depth.Unit.String()
	dive.Site, dive.Depth, dive.Bottom, dive.Bottomless, dive.Water, dive.Altitude = s.Site, s.Depth, s.Bottom,
		s.Bottomless, s.Water, s.Altitude
	dive.Bottomed = true
	return true
}

// tooDeep says when a plan is beyond the policy's deepest.
func (f *Form) tooDeep(dive *Dive) message.Line {
	deepest := f.Policy.In(f.unit()).Deepest
	if dive.Depth.Known() && dive.Depth.DeeperThan(deepest) {
		return message.Say("newtrip.deepest", message.Args{"deepest": message.Limit(deepest)})
	}
	return message.Line{}
}

// cutAnalysers takes "analysers A B" off the end.
func (f *Form) cutAnalysers(d Desk, words []string) []string {
	for i, w := range words {
		if i > 0 && is("analysers", strings.Trim(w, ",;"), d.Language) && i+1 < len(words) {
			if f.takeAnalysers(words[i+1:]).Key == "" {
				return words[:i]
			}
		}
	}
	return words
}

//go:embed words.toml
var wordsFile string

var parting = sync.OnceValue(func() map[string]map[string][]string {
	var file map[string]map[string][]string
	if err := toml.Unmarshal([]byte(wordsFile), &file); err != nil {
		panic(err) // embedded: a test reads it
	}
	return file
})

// is tells whether a word is one of those that part what was typed.
func is(what, word, language string) bool {
	word = strings.ToLower(word)
	table := parting()[what]
	return slices.Contains(table[message.Match(language)], word) || slices.Contains(table["en"], word)
}
