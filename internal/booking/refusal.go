package booking

import (
	"net/http"
	"strings"
	"time"

	"gasmuster/internal/message"
)

// Refusal is why something was turned down: it is the answer.
type Refusal struct {
	Status int           // of HTTP
	Detail string        // for programs, in English
	Line   message.Line  // in any reader's language; none where only a program can be refused
	After  time.Duration // how long to wait, 0 when that is no help
	Faults []Fault
}

func (r *Refusal) Error() string { return r.Detail }

// refused is a refusal in any reader's language. hint is what programs can do instead.
func refused(status int, line message.Line, hint string) *Refusal {
	return &Refusal{Status: status, Detail: strings.TrimSpace(english(line) + " " + hint), Line: line}
}

// Refused is a refusal of somebody, in their language.
func Refused(line message.Line) *Refusal { return refused(http.StatusUnprocessableEntity, line, "") }
