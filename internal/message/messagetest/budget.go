// Package messagetest holds messages against the budget of words: what is read
// on a wet phone on a moving boat has to be short. Tests use it over the played
// day and over all transcripts.
package messagetest

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"gasmuster/internal/message"
)

// Budget is the most that a message may have: lines that say something, and words.
type Budget struct {
	Name         string
	Lines, Words int
}

// others is how much longer another language may be.
const others = 1.3

// kinds are the messages that have a budget, by the key of one of their lines; the
// first that fits counts.
var kinds = []struct {
	keys []string // any of these lines
	Budget
}{
	{[]string{"remind.report", "remind.keep.round"}, Budget{"evening before", 14, 130}},
	{[]string{"diver.welcome"}, Budget{"welcome with the plan", 8, 90}},
	{[]string{"remind.why", "remind.boat", "nudge.head"}, Budget{"nudge", 2, 15}},
}

// Of is the budget of a message, false for one that has none. A verdict's grows
// with the cylinders that it is of, an alert's with the news in it.
func Of(m message.Message) (Budget, bool) {
	for _, k := range kinds {
		if count(m, k.keys...) > 0 {
			b := k.Budget
			if b.Name == "nudge" && count(m, "diver.changed") > 0 {
				b = Budget{"changed, with a nudge", 10, 95} // STOP, a changed plan, and what is owed
			}
			wrong := count(m, "diver.request.too-rich", "diver.request.no", "diver.request.no-margin", "diver.request.too-deep")
			b.Lines, b.Words = b.Lines+2*wrong, b.Words+20*wrong // what was ordered and does not fit
			if b.Name == "nudge" && count(m, "diver.boat.ask") > 0 {
				b.Words = 20
			}
			return b, true
		}
	}
	if len(m.Lines) == 0 || count(m, "diver.caution.short", "diver.caution") > 0 {
		return Budget{}, false // what was asked to be shown whole
	}
	cylinders := count(m, "diver.label.write", "diver.recorded", "diver.recorded.analyser", "diver.recorded.corrected",
		"diver.recorded.corrected.analyser")
	switch first := m.Lines[0].Key; {
	case strings.HasPrefix(first, "news.person"):
		n := count(m, "news.person", "news.person.cylinder", "unreachable.leader", "news.broken")
		for _, l := range m.Lines {
			if strings.HasPrefix(l.Key, "pattern.") {
				n++
			}
		}
		return Budget{"leader's alert", 3 * n, 25 * n}, true
	case first == "diver.boat.ask":
		return Budget{"boat question", 2, 20}, true
	case cylinders > 1:
		return Budget{"verdict, several", 4*cylinders + 1, 40 * cylinders}, true
	case cylinders == 1 && stops(m):
		return Budget{"STOP", 6, 60}, true
	case cylinders == 1 && isVerdict(first):
		return Budget{"verdict, one cylinder", 5, 40}, true
	}
	return Budget{}, false
}

// Names are the kinds of messages that have a budget.
func Names() []string {
	return []string{"evening before", "welcome with the plan", "nudge", "leader's alert", "boat question",
		"verdict, several", "STOP",
		"verdict, one cylinder"}
}

func isVerdict(key string) bool { return strings.HasPrefix(key, "verdict.") || key == "cleared.of" }

// stops tells whether a message begins with a no-go, or with what is not cleared.
func stops(m message.Message) bool {
	l := m.Lines[0]
	if v, ok := l.Values.Of("verdict"); ok && v.Rare != nil && v.Line != nil {
		l = *v.Line
	}
	return l.Key == "verdict.no-go" || l.Key == "verdict.not-cleared" || strings.HasPrefix(l.Key, "verdict.need.")
}

func count(m message.Message, keys ...string) int {
	n := 0
	for _, l := range m.Lines {
		for _, k := range keys {
			if l.Key == k {
				n++
			}
		}
	}
	return n
}

// Over says by how much a message is over its budget in a language, "" for not
// at all.
func Over(r *message.Renderer, m message.Message, to message.Reader) string {
	b, ok := Of(m)
	if !ok {
		return ""
	}
	text := r.Text(m, to, message.Plain)
	lines, words, most := Lines(text), Words(text, to.Language), float64(b.Words)
	if to.Language != "en" && to.Language != "" {
		most *= others
	}
	if lines <= b.Lines && float64(words) <= most {
		return ""
	}
	return fmt.Sprintf("%s in %q: %d lines and %d words, at most %d and %.0f:\n%s", b.Name, to.Language, lines, words,
		b.Lines, most, text)
}

// Lines counts the lines that say something, but not that a language was not
// reviewed.
func Lines(text string) int {
	n := 0
	for _, line := range strings.Split(text, "\n") {
		if strings.TrimSpace(line) != "" {
			n++
		}
	}
	return n
}

// english are the English words beside a verdict in another language.
var english = regexp.MustCompile(` ?\([A-Z][A-Z ,:?-]+\)`)

// columns is what one English word takes of a line, with the blank behind it.
const columns = 6

// Words counts words; a number and its unit are one. Where no blanks stand
// between words it is by what they take of a line.
func Words(text, language string) int {
	if language != "en" {
		text = english.ReplaceAllString(text, "")
	}
	if language == "ja" || language == "zh" {
		return (Width(text) + columns - 1) / columns
	}
	n := 0
	for _, f := range strings.FieldsFunc(message.Unbroken(text), func(r rune) bool { return r == ' ' || r == '\n' }) {
		if strings.ContainsFunc(f, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
			n++
		}
	}
	return n
}

// Width is how many columns a text takes: a character of Chinese or Japanese is
// two wide.
func Width(text string) int {
	n := 0
	for _, r := range text {
		switch {
		case unicode.Is(unicode.Bidi_Control, r), unicode.Is(unicode.Mn, r), r == '\n':
		case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) || r >= 0x3000 && r <= 0x303f ||
			r >= 0xff00 && r <= 0xffef:
			n += 2
		default:
			n++
		}
	}
	return n
}
