package orders

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// Team is a team's name as the trip writes it, "" for none.
func Team(teams []string, name string) string {
	for _, t := range teams {
		if FoldName(t) == FoldName(name) {
			return t
		}
	}
	return ""
}

// TakeLimits takes a depth in unit and minutes off the front of words, in any order; a
// depth that is wrong, and minutes that nobody believes, are a problem.
func TakeLimits(words []string, unit gas.Unit, wrong func(gas.Depth) message.Line) (
	depth gas.Depth, minutes float64, rest []string, problem message.Line) {
	for len(words) > 0 {
		if m, left, ok := TakeMinutes(words); ok && len(left) < len(words) &&
			strings.Contains(strings.ToLower(strings.Join(words[:len(words)-len(left)], "")), "min") {
			if problem := BadMinutes(m); problem.Key != "" {
				return depth, minutes, nil, problem
			}
			minutes, words = m, left
			continue
		}
		d, left, ok := TakeDepth(words, unit)
		if !ok || depth.Known() {
			break
		}
		if problem := wrong(d); problem.Key != "" {
			return depth, minutes, nil, problem
		}
		depth, words = d, left
	}
	return depth, minutes, words, message.Line{}
}

func IsOff(word string) bool {
	switch strings.ToLower(word) {
	case "off", "none", "lift", "no", "lifted", "remove":
		return true
	}
	return false
}
