package orders

import (
	"strconv"
	"strings"

	"gasmuster/internal/roster"
)

// TakeScope takes "dive N", "all" or "trip" off the front, or "dive N" of a dive that is
// open off the end; without it the whole trip, 0, is meant.
func TakeScope(text, language string, trip *roster.Trip, open func(dive int) bool) (dive int, rest string) {
	words := strings.Fields(ForDives(text, language, OneDive, AllDives))
	switch {
	case len(words) > 0 && (strings.EqualFold(words[0], "trip") || strings.EqualFold(words[0], "all")):
		return 0, strings.Join(words[1:], " ")
	case len(words) > 1 && strings.EqualFold(words[0], "dive"):
		if n, err := strconv.Atoi(words[1]); err == nil && trip.Dive(n) != nil {
			return n, strings.Join(words[2:], " ")
		}
	}
	return LastDive(strings.Join(words, " "), language, open)
}
