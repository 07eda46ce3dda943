package orders

import (
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// ReadMinutes is a time as people type it in English words, up to most minutes,
// with what is wrong with it.
func ReadMinutes(text string, most float64) (float64, message.Line) {
	m, rest, ok := TakeMinutes(strings.Fields(text))
	if !ok || len(rest) > 0 || m <= 0 || m > most {
		return 0, message.Say("minutes.absurd", message.Args{"longest": message.Minutes(most)})
	}
	return m, message.Line{}
}

// TakeMinutes takes a time off the front of words. What is plainly meant as
// one is taken, however absurd, so that it can be refused for what it is.
func TakeMinutes(words []string) (float64, []string, bool) {
	for n := min(2, len(words)); n > 0; n-- {
		typed := strings.Join(words[:n], " ")
		if m, err := reply.Minutes(typed); err == nil {
			return m, words[n:], true
		}
		if m := minutesForm.FindStringSubmatch(typed); m != nil {
			v, _ := strconv.ParseFloat(m[1], 64) // nine digits: never fails
			return v, words[n:], true
		}
	}
	return 0, words, false
}

var minutesForm = regexp.MustCompile(`(?i)^(\d{1,9}) ?(?:min|mins|minutes?)?$`)

// LongestDive is the longest dive that is believed, in minutes.
const LongestDive = 240

// BadMinutes is what is wrong with the minutes of a dive; an empty line when nothing is.
func BadMinutes(m float64) message.Line {
	if m <= 0 || m > LongestDive {
		return message.Say("minutes.absurd", message.Args{"longest": message.Minutes(LongestDive)})
	}
	return message.Line{}
}
