package standin

import (
	"encoding/json"
	"net/http"
	"strconv"
)

// Fault is something that goes wrong with one or more requests. What is not
// said fits every request.
type Fault struct {
	Method string
	Chat   int64 // only for this chat_id
	Skip   int   // fits only after so many requests that it would have fitted
	Times  int   // how often; 0 is once, -1 until ClearFaults

	Status      int // answered with this error_code and HTTP status ...
	Description string
	RetryAfter  int
	MigrateTo   int64
	Page        string // ... or with this page instead of JSON, "" with Empty for no body

	Empty   bool // Status and an empty body
	Half    bool // the call takes effect, the answer breaks off in the middle
	Drop    bool // the connection is closed without an answer
	Hang    bool // no answer until the client gives up
	Applied bool // the call takes effect all the same; with Status, Page, Empty, Drop or Hang
}

func (f *Fault) applies() bool { return f.Applied || f.Half }

// Fault scripts a fault. Faults are used up in the order they were scripted.
func (s *Server) Fault(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Times == 0 {
		f.Times = 1
	}
	s.faults = append(s.faults, &f)
}

// ClearFaults ends all scripted faults.
func (s *Server) ClearFaults() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
}

func (s *Server) takeFault(c *call) *Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, f := range s.faults {
		if f.Times == 0 || (f.Method != "" && f.Method != c.method) || (f.Chat != 0 && f.Chat != c.number("chat_id")) {
			continue
		}
		if f.Skip > 0 {
			f.Skip--
			continue
		}
		if f.Times > 0 {
			f.Times--
		}
		return f
	}
	return nil
}

// broken answers a call that a fault was scripted for.
func (s *Server) broken(w http.ResponseWriter, c *call, f *Fault, result any) {
	switch {
	case f.Hang:
		s.record(c, 0, "(no answer)")
		select {
		case <-c.http.Context().Done():
		case <-s.stop:
		}
		panic(http.ErrAbortHandler)
	case f.Drop:
		s.record(c, 0, "(connection closed)")
		panic(http.ErrAbortHandler)
	case f.Half:
		s.half(w, c, result)
	case f.Page != "" || f.Empty:
		s.record(c, f.Status, f.Page)
		w.Header().Set("Content-Type", "text/html")
		w.WriteHeader(f.Status)
		_, _ = w.Write([]byte(f.Page))
	default:
		s.reply(w, c, nil, &refusal{f.Status, f.Description, f.RetryAfter, f.MigrateTo})
	}
}

func (s *Server) half(w http.ResponseWriter, c *call, result any) {
	raw, _ := json.Marshal(map[string]any{"ok": true, "result": result})
	s.record(c, 200, string(raw[:len(raw)/2])+" (broken off)")
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Length", strconv.Itoa(len(raw)))
	_, _ = w.Write(raw[:len(raw)/2])
	if f, ok := w.(http.Flusher); ok {
		f.Flush()
	}
	panic(http.ErrAbortHandler)
}
