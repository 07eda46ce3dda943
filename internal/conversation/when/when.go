// Package when reads the day and the time of day at the front of what a leader
// typed, in ten languages: "tomorrow 8:30", "2027-05-15 08.30", "lundi 8h30".
// It is pure text: what day it is today is said to it.
package when

import (
	_ "embed"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/BurntSushi/toml"
)

//go:embed words.toml
var wordsFile string

// Said is a day and a time of day as far as they were said: the zero time and
// a Clock below 0 where they were not.
type Said struct {
	Day   time.Time     // midnight, in the zone of today
	Clock time.Duration // since midnight
}

// None is that nothing was said.
var None = Said{Clock: -1}

// At is the instant in that zone; both have to be known.
func (s Said) At() time.Time {
	h, m := int(s.Clock/time.Hour), int(s.Clock%time.Hour/time.Minute)
	return time.Date(s.Day.Year(), s.Day.Month(), s.Day.Day(), h, m, 0, 0, s.Day.Location())
}

// Read takes day and time off the front of words, in either order. language is
// BCP 47's two letters; now is an instant in the zone that is meant.
func Read(words []string, language string, now time.Time) (s Said, rest []string) {
	s, today := None, midnight(now)
	for len(words) > 0 {
		word := strings.ToLower(strings.Trim(words[0], ",;"))
		day, isDay := dayOf(word, language, today)
		clock, isClock := clockOf(word)
		switch {
		case isDay && s.Day.IsZero():
			s.Day = day
		case isClock && s.Clock < 0:
			s.Clock = clock
			if n := halfDay(words[1:]); n > 0 && clock < 13*time.Hour {
				s.Clock = clock%(12*time.Hour) + time.Duration(n-1)*12*time.Hour
				words = words[1:]
			}
		default:
			return s, words
		}
		words = words[1:]
	}
	return s, nil
}

func midnight(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location())
}

type dayWords struct{ Today, Tomorrow, Weekdays []string }

var words = sync.OnceValue(func() map[string]dayWords {
	var file map[string]dayWords
	if err := toml.Unmarshal([]byte(wordsFile), &file); err != nil {
		panic(err) // embedded: a test reads it
	}
	return file
})

// dayOf is a day by its word, a weekday (the next one, today's included) or a
// date as 2027-05-15.
func dayOf(word, language string, today time.Time) (time.Time, bool) {
	if day, err := time.ParseInLocation(time.DateOnly, word, today.Location()); err == nil {
		return day, true
	}
	for _, w := range []dayWords{words()[language], words()["en"]} {
		switch n := slices.Index(w.Weekdays, word); {
		case slices.Contains(w.Today, word):
			return today, true
		case slices.Contains(w.Tomorrow, word):
			return today.AddDate(0, 0, 1), true
		case n >= 0: // Monday is 0 here and 1 there
			return today.AddDate(0, 0, (n+1-int(today.Weekday())+7)%7), true
		}
	}
	return time.Time{}, false
}

var clockForm = regexp.MustCompile(`^([01]?\d|2[0-3])(?:[:.h]([0-5]\d)|h)(am|pm)?$`)

func clockOf(word string) (time.Duration, bool) {
	m := clockForm.FindStringSubmatch(word)
	if m == nil {
		return 0, false
	}
	h, _ := strconv.Atoi(m[1])
	minutes, _ := strconv.Atoi(m[2])
	if n := halfDay([]string{m[3]}); n > 0 && h < 13 {
		h = h%12 + (n-1)*12
	}
	return time.Duration(h)*time.Hour + time.Duration(minutes)*time.Minute, true
}

// halfDay is 1 for "am" at the front, 2 for "pm", else 0.
func halfDay(words []string) int {
	if len(words) == 0 {
		return 0
	}
	return 1 + slices.Index([]string{"am", "pm"}, strings.ToLower(strings.Trim(words[0], ",;")))
}
