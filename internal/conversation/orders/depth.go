package orders

import (
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// Unit reads a unit as people write it after a number; "" when it is none.
func Unit(text string) string {
	if strings.TrimSpace(text) == "" || strings.ContainsAny(text, "0123456789") {
		return ""
	}
	d, err := reply.Depth("10 "+text, gas.Metres)
	if err != nil {
		return ""
	}
	return d.Unit.String()
}

// Depths as people type them inside a command: "20m", "20 m", "66 ft". A bare
// number is in the unit that its writer reads.

// deepest is the deepest plan that is accepted, as in the interface contract.
const deepest = 100 // metres

// TakeDepth takes a depth off the front of words. What is plainly meant as
// one is taken, however absurd, so that it can be refused for what it is.
func TakeDepth(words []string, unit gas.Unit) (d gas.Depth, rest []string, ok bool) {
	for n := min(2, len(words)); n > 0; n-- {
		typed := strings.Join(words[:n], " ")
		if d, err := reply.Depth(typed, unit); err == nil {
			return d, words[n:], true
		}
		if d, ok := absurdDepth(typed); ok {
			return d, words[n:], true
		}
	}
	return gas.Depth{}, words, false
}

var depthForm = regexp.MustCompile(`(?i)^-?(\d{1,9}(?:[.,]\d{1,9})?) ?(m|metres?|meters?|ft|feet|foot)$`)

// absurdDepth reads a number with a unit of depth that is out of bounds.
func absurdDepth(typed string) (gas.Depth, bool) {
	m := depthForm.FindStringSubmatch(typed)
	if m == nil {
		return gas.Depth{}, false
	}
	v, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	if err != nil || strings.HasPrefix(typed, "-") {
		v = 0
	}
	if strings.HasPrefix(strings.ToLower(m[2]), "f") {
		return gas.Ft(v), true
	}
	return gas.M(v), true
}

// Absurd is what is wrong with a depth; an empty line when nothing is.
func Absurd(d gas.Depth) message.Line {
	switch {
	case !d.Known():
		return message.Say("depth.none", nil)
	case d.DeeperThan(gas.M(deepest)):
		return message.Say("depth.too-deep", message.Args{"typed": message.Planned(d),
			"deepest": message.Planned(gas.M(deepest))})
	}
	return message.Line{}
}

// hasUnit tells whether a depth was typed with its unit, so that it can't be
// another number.
func hasUnit(typed []string) bool {
	return strings.ContainsAny(strings.ToLower(strings.Join(typed, "")), "mf'")
}
