package booking

import "strings"

// place is a cell: a row as a spreadsheet numbers it and a column's name.
type place struct {
	row    int
	column string
}

// placeFaults gives every fault that was found in the document its cell, and
// keeps the first of each cell: the others follow from it.
func (f *Faults) placeFaults(places map[string]place) {
	seen := map[place]bool{}
	var kept []Fault
	for _, one := range f.List {
		if one.Row == 0 {
			one.Row, one.Column = cellOf(one.Pointer, places)
		}
		at := place{one.Row, one.Column}
		if one.Column != "" && seen[at] {
			continue
		}
		seen[at] = true
		kept = append(kept, one)
	}
	f.List = kept
}

// cellOf is the cell of a pointer, or of the nearest thing around it that has
// one.
func cellOf(pointer string, places map[string]place) (int, string) {
	for {
		if p, ok := places[pointer]; ok {
			return p.row, p.column
		}
		i := strings.LastIndexByte(pointer, '/')
		if i < 0 {
			return 0, ""
		}
		pointer = pointer[:i]
	}
}
