package roster

import "time"

// PlainBoard is what a board is, worked out from nothing: without anything that
// a draft or a trip remembers.
func PlainBoard(t *Trip, n int, now time.Time) Board {
	plain := *t
	plain.known = known{}
	return plain.Board(n, now)
}

// Known are the people whose clearance of dive n would not be worked out now.
func Known(t *Trip, n int, now time.Time) []PersonID {
	var ids []PersonID
	l := t.look(now)
	for i, p := range t.People {
		if k := t.known.lines.of(n, i); k != nil && l.line(i, n) == k {
			ids = append(ids, p.ID)
		}
	}
	return ids
}
