package booking

import (
	"net/http"
	"time"
)

// Refusal is why something was turned down: it is the answer.
type Refusal struct {
	Status int // of HTTP
	Detail string
	After  time.Duration // how long to wait, 0 when that is no help
	Faults []Fault
}

func (r *Refusal) Error() string { return r.Detail }

// Err is nil, or the refusal that lists every fault.
func (f *Faults) Err() error {
	if len(f.List) == 0 {
		return nil
	}
	return &Refusal{Status: http.StatusUnprocessableEntity,
		Detail: "Nothing was stored. Each entry of errors names a place and what would be accepted there.", Faults: f.List}
}
