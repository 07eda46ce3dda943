package booking

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"gasmuster/internal/message"
)

// Fault is one thing wrong with a request, with the JSON pointer (RFC 6901) of
// its place. What came as CSV has the row, as spreadsheets number it, and the
// column too; a row or column that is not known or not to blame is left out.
type Fault struct {
	Pointer string `json:"pointer"`
	Row     int    `json:"row,omitempty"`
	Column  string `json:"column,omitempty"`
	Detail  string `json:"detail"` // for programs, in English
	// Line says it in any reader's language. What only a program gets wrong, the shape of
	// a document, has none.
	Line message.Line `json:"-"`
}

// maxFaults bounds what one answer lists.
const maxFaults = 100

// Faults collects everything that is wrong, so that a shop mends it in one go.
type Faults struct{ List []Fault }

// Add notes a fault of a program at a JSON pointer, or at "?name" of a query.
func (f *Faults) Add(at, format string, args ...any) {
	if len(f.List) < maxFaults {
		f.List = append(f.List, Fault{Pointer: at, Detail: fmt.Sprintf(format, args...)})
	}
}

// Wrong notes what somebody got wrong, at a JSON pointer.
func (f *Faults) Wrong(at string, line message.Line) { f.sayCell(at, 0, "", line) }

// sayCell notes a fault of a cell of a file.
func (f *Faults) sayCell(at string, row int, column string, line message.Line) {
	if len(f.List) < maxFaults {
		f.List = append(f.List, Fault{Pointer: at, Row: max(row, 0), Column: column, Detail: english(line), Line: line})
	}
}

// hint adds to the last fault how a program goes on.
func (f *Faults) hint(words string) {
	if n := len(f.List); n > 0 {
		f.List[n-1].Detail += " (" + words + ")"
	}
}

// Typed adds what could not be read of a value that somebody typed.
func (f *Faults) Typed(at string, err error) { f.Wrong(at, lineOf(err)) }

// Before is err with the faults of f before its own. What err says of the same places,
// or of what is below them, follows from those. An err that lists no faults stays.
func (f *Faults) Before(err error) error {
	var no *Refusal
	if len(f.List) == 0 || err != nil && (!errors.As(err, &no) || len(no.Faults) == 0) {
		return err
	}
	all := Faults{List: slices.Clone(f.List)}
	if no != nil {
		all.List = append(all.List, slices.DeleteFunc(slices.Clone(no.Faults),
			func(one Fault) bool { return f.around(one.Pointer) })...)
	}
	return all.Err()
}

// around tells whether a fault is at a place or around it.
func (f *Faults) around(pointer string) bool {
	return slices.ContainsFunc(f.List, func(one Fault) bool {
		return pointer == one.Pointer || strings.HasPrefix(pointer, one.Pointer+"/")
	})
}

// Err is nil, or the refusal that lists every fault.
func (f *Faults) Err() error {
	if len(f.List) == 0 {
		return nil
	}
	return &Refusal{Status: http.StatusUnprocessableEntity,
		Detail: "Nothing was stored. Each entry of errors names a place and what would be accepted there.", Faults: f.List}
}
