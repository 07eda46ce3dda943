package standin

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// Exchange is one request to the API with its answer, or one delivery to the
// webhook (Method "webhook").
type Exchange struct {
	At     time.Time
	Method string
	Params map[string]string
	Files  []string
	Status int // 0: no answer
	Answer string
}

// Transcript is everything asked of the server so far, oldest first.
func (s *Server) Transcript() []Exchange {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.transcript)
}

// Calls are the exchanges of one method.
func (s *Server) Calls(method string) []Exchange {
	var of []Exchange
	for _, e := range s.Transcript() {
		if e.Method == method {
			of = append(of, e)
		}
	}
	return of
}

// Dump is the transcript for people.
func (s *Server) Dump() string {
	var b strings.Builder
	for _, e := range s.Transcript() {
		fmt.Fprintf(&b, "%s %s -> %d %s\n", e.At.Format("15:04:05.000"), e.Method, e.Status, e.Answer)
		for _, name := range slices.Sorted(maps.Keys(e.Params)) {
			fmt.Fprintf(&b, "    %s = %s\n", name, e.Params[name])
		}
	}
	return b.String()
}

func (s *Server) record(c *call, status int, answer string) {
	e := Exchange{At: s.opt.Now(), Method: c.method, Params: c.params, Status: status, Answer: answer}
	for name := range c.files {
		e.Files = append(e.Files, name)
	}
	s.note(e)
}

func (s *Server) note(e Exchange) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.transcript = append(s.transcript, e)
	s.touch()
}
