package conversation

import (
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// Depths as people type them inside a command: "20m", "20 m", "66 ft". A bare
// number is in the unit that its writer reads, and is said back in it: who is shown
// metres means metres, also on a trip in feet.

// reads is the unit of depth that the acting person reads.
func (t *turn) reads() gas.Unit {
	switch t.me().Units {
	case gas.Metres.String():
		return gas.Metres
	case gas.Feet.String():
		return gas.Feet
	}
	return t.trip.Units
}

// inReads is one of two examples, by the unit that the acting person reads.
func (t *turn) inReads(metres, feet string) message.Value {
	return example(t.reads(), metres, feet)
}

// example is one of two ways to type a command, by the unit of depth.
func example(unit gas.Unit, metres, feet string) message.Value {
	if unit == gas.Feet {
		return message.Code(feet)
	}
	return message.Code(metres)
}

// deepest is the deepest plan that is accepted, as in the interface contract.
const deepest = 100 // metres

// takeDepth takes a depth off the front of words. What is plainly meant as
// one is taken, however absurd, so that it can be refused for what it is.
func takeDepth(words []string, unit gas.Unit) (d gas.Depth, rest []string, ok bool) {
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

// planned is a depth that was typed in any unit as a plan in the trip's,
// rounded to the deeper side.
func (t *turn) planned(d gas.Depth) gas.Depth { return d.PlannedIn(t.trip.Units) }

// asLimit is a depth that was typed in any unit as a limit in the trip's,
// rounded to the shallower side.
func (t *turn) asLimit(d gas.Depth) gas.Depth {
	if d.Unit == t.trip.Units {
		return d
	}
	return d.LimitIn(t.trip.Units)
}

// absurd is what is wrong with a depth; an empty line when nothing is.
func absurd(d gas.Depth) message.Line {
	switch {
	case !d.Known():
		return message.Say("depth.none", nil)
	case d.DeeperThan(gas.M(deepest)):
		return message.Say("depth.too-deep", message.Args{"typed": message.Planned(d),
			"deepest": message.Planned(gas.M(deepest))})
	}
	return message.Line{}
}

// because splits "... because REASON" off.
func because(text string) (rest, reason string) {
	lower := strings.ToLower(text)
	for _, word := range []string{"because of ", "because "} {
		if i := strings.Index(lower, word); i == 0 || i > 0 && lower[i-1] == ' ' {
			// Lower case can change a text's length in bytes; then there is no
			// telling where the word stands in the original.
			if len(lower) == len(text) {
				return strings.TrimSpace(text[:i]), clip(text[i+len(word):], longestReason)
			}
		}
	}
	return text, ""
}

// longestReason is how much of a reason is kept, in characters.
const longestReason = 200

// reasonLine is a reason as a value: what somebody typed, or that none was
// given.
func reasonLine(reason string) message.Line {
	if reason == "" {
		return message.Say("reason.none", nil)
	}
	return message.Say("reason", message.Args{"text": message.Text(reason)})
}

// hasUnit tells whether a depth was typed with its unit, so that it can't be
// another number.
func hasUnit(typed []string) bool {
	return strings.ContainsAny(strings.ToLower(strings.Join(typed, "")), "mf'")
}
