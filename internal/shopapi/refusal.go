package shopapi

import "net/http"

// Refusal is why something was turned down: it is the answer.
type Refusal struct {
	Status int // of HTTP
	Detail string
	Faults []Fault
}

// Fault is one thing wrong with what was sent in, and its place.
type Fault = fault

func (r *Refusal) Error() string { return r.Detail }

// err is nil, or the refusal that lists every fault.
func (f *faults) err() error {
	if len(f.list) == 0 {
		return nil
	}
	return &Refusal{http.StatusUnprocessableEntity,
		"Nothing was stored. Each entry of errors names a place and what would be accepted there.", f.list}
}
