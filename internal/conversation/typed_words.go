package conversation

import "gasmuster/internal/conversation/orders"

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
