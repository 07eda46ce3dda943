package newtrip

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/when"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// longest is how much of an answer is read, in words.
const longest = 120

// Typed puts what was typed into the form. It returns what is wrong with it; then
// nothing of it was taken.
func (f *Form) Typed(d Desk, text string) message.Line {
	was := f.clone()
	problem := f.typed(d, text)
	if problem.Key != "" {
		*f = was
	}
	return problem
}

func (f *Form) typed(d Desk, text string) message.Line {
	words := strings.Fields(text)
	switch {
	case len(words) > longest:
		return message.Say("site.too-long", nil)
	case len(words) == 0:
		return message.Line{}
	}
	switch f.step() {
	case askZone:
		return f.takeZone(d, text)
	case askDay, askClock:
		return f.takeWhen(d, words)
	case askUnit:
		return f.takeUnit(d, orders.English(text, d.Language))
	case askInterval:
		return f.takeInterval(d, text)
	case askMinutes:
		return f.takeMinutes(d, text)
	case askAnalysers:
		return f.takeAnalysers(words)
	case askBottom:
		return f.takeBottom(d, text)
	case askStart:
		return unclear(text)
	}
	return f.takeDives(d, words, false)
}

// TypedAtOnce reads a whole trip, or as much of it as was typed with the command.
func (f *Form) TypedAtOnce(d Desk, text string) message.Line {
	was, words := f.clone(), strings.Fields(text)
	if len(words) > longest {
		return message.Say("site.too-long", nil)
	}
	loc, err := roster.Zone(f.Zone)
	if err != nil { // whose tomorrow is meant is not known yet
		f.First = strings.Join(words, " ")
		return message.Line{}
	}
	said, rest := when.Read(words, message.Match(d.Language), d.Now.In(loc))
	problem := f.setWhen(said, d.Now)
	if problem.Key == "" && len(rest) > 0 {
		problem = f.takeDives(d, rest, true)
	}
	if problem.Key != "" {
		*f = was
	}
	return problem
}

func (f *Form) clone() Form {
	c := *f
	c.Dives, c.Analysers = slices.Clone(f.Dives), slices.Clone(f.Analysers)
	return c
}

func unclear(typed string) message.Line {
	return message.Say("newtrip.unclear", message.Args{"typed": message.Name(typed)})
}

// takeWhen reads a day, a time of day or both; behind them a whole trip may follow.
func (f *Form) takeWhen(d Desk, words []string) message.Line {
	loc, err := roster.Zone(f.Zone)
	if err != nil {
		return unclear(strings.Join(words, " "))
	}
	said, rest := when.Read(words, message.Match(d.Language), d.Now.In(loc))
	if said == when.None || len(rest) > 0 && len(f.Dives) > 0 {
		return unclear(strings.Join(words, " "))
	}
	if problem := f.setWhen(said, d.Now); problem.Key != "" || len(rest) == 0 {
		return problem
	}
	return f.takeDives(d, rest, true)
}

// takeZone reads a zone's name, or the town that it is named after.
func (f *Form) takeZone(d Desk, text string) message.Line {
	name := strings.Join(strings.Fields(text), "_")
	names := []string{name}
	if !strings.Contains(name, "/") {
		for _, area := range []string{"Europe", "Atlantic", "Africa", "America", "Asia", "Australia", "Indian", "Pacific",
			"Antarctica"} {
			names = append(names, area+"/"+title(name))
		}
	}
	for _, n := range names {
		if _, err := roster.Zone(n); err == nil && n != "Local" {
			first := f.First
			f.Zone, f.First = n, ""
			return f.TypedAtOnce(d, first)
		}
	}
	return message.Say("newtrip.zone-unknown", message.Args{"typed": message.Name(text)})
}

// title writes each part of a town's name with a capital, as zones are written.
func title(name string) string {
	parts := strings.Split(strings.ToLower(name), "_")
	for i, p := range parts {
		if r := []rune(p); len(r) > 0 {
			parts[i] = strings.ToUpper(string(r[:1])) + string(r[1:])
		}
	}
	return strings.Join(parts, "_")
}

var unitForm = regexp.MustCompile(`(?i)\d ?(?:(m|metres?|meters?)|(ft|feet|foot))(?:[ ,;.]|$)`)

// setUnit takes the unit from what was typed, if any was. It is never guessed.
func (f *Form) setUnit(english string) {
	if m := unitForm.FindStringSubmatch(english); m != nil && f.Units == "" {
		f.Units = "m"
		if m[2] != "" {
			f.Units = "ft"
		}
	}
}

func (f *Form) takeUnit(d Desk, text string) message.Line {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "m", "metres", "meters":
		f.Units = "m"
	case "ft", "feet":
		f.Units = "ft"
	default:
		return unclear(text)
	}
	pending, whole := f.Pending, f.AtOnce
	f.Pending, f.AtOnce = "", false
	if pending == "" {
		return message.Line{}
	}
	return f.takeDives(d, strings.Fields(pending), whole)
}

func (f *Form) takeBottom(d Desk, text string) message.Line {
	text = orders.English(text, d.Language)
	if !strings.Contains(strings.ToLower(text), "bottom") {
		text = "bottom " + text
	}
	dive := f.open()
	plan, bottom, problem := orders.ReadDive(dive.Dive, text, f.unit())
	if problem.Key != "" {
		return problem
	}
	if !bottom {
		return unclear(text)
	}
	dive.Dive, dive.Bottomed = plan, true
	return message.Line{}
}

// takeMinutes reads "28 min", and the interval with it: "28 min after 60 min".
func (f *Form) takeMinutes(d Desk, text string) message.Line {
	parts, dive := split(strings.Fields(text), d.Language), f.open()
	said := orders.English(strings.Join(parts[0].words, " "), d.Language)
	m, problem := orders.ReadMinutes(said, orders.LongestDive)
	first := len(f.Dives) > 0 && dive == &f.Dives[0]
	switch {
	case problem.Key != "":
		return problem
	case len(parts) > 1, first && parts[0].interval != "":
		return unclear(text)
	}
	dive.Minutes = m
	if parts[0].interval == "" {
		return message.Line{}
	}
	return dive.setInterval(parts[0].interval, d.Language)
}

// takeInterval reads "60 min", "60" and "after 60 min".
func (f *Form) takeInterval(d Desk, text string) message.Line {
	words := strings.Fields(text)
	if len(words) > 1 && orders.IsAfter(words[0], d.Language) {
		words = words[1:]
	}
	return f.open().setInterval(strings.Join(words, " "), d.Language)
}

// longestInterval is what the API takes, in minutes.
const longestInterval = 24 * 60

func (d *Dive) setInterval(text, language string) message.Line {
	m, problem := orders.ReadMinutes(orders.English(text, language), longestInterval)
	if problem.Key != "" {
		return problem
	}
	d.Interval, d.Intervaled = m, true
	return message.Line{}
}

// takeAnalysers reads names parted by blanks or commas.
func (f *Form) takeAnalysers(words []string) message.Line {
	f.Analysers, f.Named = nil, true
	for _, w := range words {
		if w = strings.Trim(w, ",;"); w != "" && !slices.Contains(f.Analysers, w) {
			f.Analysers = append(f.Analysers, cut(w))
		}
	}
	if len(f.Analysers) > mostAnalysers {
		return unclear(strings.Join(words, " "))
	}
	return message.Line{}
}

const mostAnalysers = 8

// day is midnight of a day that a button names.
func (f *Form) day(text string) (when.Said, bool) {
	loc, err := roster.Zone(f.Zone)
	if err != nil {
		return when.None, false
	}
	day, err := time.ParseInLocation(time.DateOnly, text, loc)
	return when.Said{Day: day, Clock: -1}, err == nil
}
