package conversation

import (
	"fmt"
	"reflect"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// In all tests of this package (transcripts, the matrix, fuzz and property
// tests) every board that an event looks at is held against that of a copy of
// the trip, which remembers nothing.
func init() {
	checkBoard = func(t *turn, got roster.Board) {
		afresh := *t.trip
		if want := afresh.Board(t.now); !reflect.DeepEqual(want, got) && cmp.Diff(want, got) != "" {
			panic(fmt.Sprintf("the board from memory is not the board (-want +got):\n%s", cmp.Diff(want, got)))
		}
	}
}
