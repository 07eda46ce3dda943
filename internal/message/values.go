package message

import (
	"slices"
	"strings"
)

// Values are the values of a line as it keeps and stores them, sorted by name: a
// map for each line would take many times the room and time.
type Values []Named

// Named is a value under its name, stored as one object.
type Named struct {
	Name string `json:"a"`
	Value
}

// values are a's by name. a itself is not kept, so that the map of a call that
// says something need not leave the stack.
func (a Args) values() Values {
	if len(a) == 0 {
		return nil
	}
	vs := make(Values, 0, len(a))
	for name, v := range a {
		vs = append(vs, Named{name, v})
	}
	slices.SortFunc(vs, func(x, y Named) int { return strings.Compare(x.Name, y.Name) })
	return vs
}

// Of is the value of a name, and whether there is one.
func (vs Values) Of(name string) (Value, bool) {
	for i := range vs {
		if vs[i].Name == name {
			return vs[i].Value, true
		}
	}
	return Value{}, false
}
