package conversation

import (
	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// What the acting person typed, read in their own language; see orders.

// english is what was typed with the words of the actor's language replaced by
// the English ones, up to a reason.
func (t *turn) english(text string) string { return orders.English(text, t.me().Language) }

// forDives is the same of "dive 2" and "all dives" at the front, where they are taken.
func (t *turn) forDives(text string, taken ...string) string {
	return orders.ForDives(text, t.me().Language, taken...)
}

// diveLast takes "dive 2" off the end, of a dive that is ahead; 0 when none stands there.
func (t *turn) diveLast(text string) (dive int, rest string) {
	return orders.LastDive(text, t.me().Language, t.openDive)
}

// diveTyped is the number of a dive when nothing but that was typed.
func (t *turn) diveTyped(args string) (dive int, ok bool) {
	return orders.DiveTyped(args, t.me().Language)
}

// A bare number is a depth in the unit that its writer reads, and is said back in it:
// who is shown metres means metres, also on a trip in feet.

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
	return orders.Example(t.reads(), metres, feet)
}

// planned is a depth that was typed in any unit as a plan in the trip's,
// rounded to the deeper side.
func (t *turn) planned(d gas.Depth) gas.Depth { return d.PlannedIn(t.trip.Units) }
