package sim

import (
	"gasmuster/internal/sim/judge"
)

// Day is a whole day as a list: what was booked and what was said, one entry after the other. Entries in a
// row with the same Change, not 0, are one stored change.
type Day struct {
	Seed   uint64
	Booked judge.Booked
	Said   []judge.Said
}

// changes are the entries of a day by stored change.
func (d Day) changes() [][]judge.Said {
	var list [][]judge.Said
	for i, s := range d.Said {
		if i > 0 && s.Change != 0 && s.Change == d.Said[i-1].Change {
			list[len(list)-1] = append(list[len(list)-1], s)
			continue
		}
		list = append(list, []judge.Said{s})
	}
	return list
}
