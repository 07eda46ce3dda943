package orders

import (
	"strconv"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// divedWords are what a leader may say of a whole dive instead of figures.
var divedWords = map[string]string{"no": "no", "not": "no", "not dived": "no", "back": "back", "yes": "yes",
	"dived": "yes"}

// Outcome is such an answer: "yes", "no", or "back" for one that is taken back.
func Outcome(words []string) (answer string, known bool) {
	answer, known = divedWords[strings.ToLower(strings.Join(words, " "))]
	return answer, known
}

// AfterDive is what stands after "dive 1" or "1".
func AfterDive(text string) string {
	words := strings.Fields(text)
	if len(words) > 0 && strings.EqualFold(words[0], "dive") {
		words = words[1:]
	}
	return strings.Join(words[min(1, len(words)):], " ")
}

// TakeDived takes the depth, read in unit, and the minutes of a dive that was dived off
// the front of words.
func TakeDived(dive int, words []string, unit gas.Unit) (
	depth gas.Depth, minutes float64, rest []string, problem message.Line) {
	a := message.Args{"dive": message.Count(dive)}
	depth, words, ok := TakeDepth(words, unit)
	if !ok {
		return depth, 0, words, message.Say("dived.no-depth", a)
	}
	if problem := Absurd(depth); problem.Key != "" {
		return depth, 0, words, problem
	}
	minutes, words, ok = TakeMinutes(words)
	if !ok {
		return depth, 0, words, message.Say("dived.no-minutes", a)
	}
	return depth, minutes, words, BadMinutes(minutes)
}

// TakeDive takes the number of one of so many dives off the front of words; of one
// dive it may be left out where nothing else is said either.
func TakeDive(words []string, dives int) (dive int, rest []string, problem message.Line) {
	if len(words) > 0 && strings.EqualFold(words[0], "dive") {
		words = words[1:]
	}
	if len(words) == 0 {
		if dives == 1 {
			dive = 1
		}
		return dive, nil, message.Say("dived.ask", nil)
	}
	n, err := strconv.Atoi(words[0])
	if err != nil || n < 1 || n > dives {
		return 0, nil, message.Say("dived.no-such-dive",
			message.Args{"typed": message.Name(words[0]), "last": message.Count(dives)})
	}
	return n, words[1:], message.Line{}
}
