package standin

import (
	"encoding/json"
	"slices"
	"time"
)

// getUpdates confirms everything below offset and returns what is left, after
// a while if need be.
func (s *Server) getUpdates(c *call) (any, *refusal) {
	s.mu.Lock()
	s.polls++
	mine := s.polls // a newer poll ends this one
	s.setAllowed(c)
	s.confirm(c.number("offset"))
	s.touch()
	s.mu.Unlock()
	end := time.After(time.Duration(c.number("timeout")) * time.Second)
	for {
		s.mu.Lock()
		batch, changed, hook, polls := s.batch(c), s.changed, s.hook.url, s.polls
		s.mu.Unlock()
		switch {
		case hook != "":
			return nil, refuse(409, "can't use getUpdates method while webhook is active; use deleteWebhook to delete the "+
				"webhook first")
		case polls != mine:
			return nil, refuse(409, "terminated by other getUpdates request; make sure that only one bot instance is running")
		case len(batch) > 0:
			return batch, nil
		}
		select {
		case <-changed:
		case <-end:
			return []json.RawMessage{}, nil
		case <-c.http.Context().Done():
			return []json.RawMessage{}, nil
		case <-s.stop:
			return []json.RawMessage{}, nil
		}
	}
}

func (s *Server) confirm(offset int64) {
	s.pending = slices.DeleteFunc(s.pending, func(p *pending) bool { return p.id < offset })
}

func (s *Server) batch(c *call) []json.RawMessage {
	s.expire()
	limit := int(c.number("limit"))
	if limit < 1 || limit > 100 {
		limit = 100
	}
	var list []json.RawMessage
	for _, p := range s.pending {
		if len(list) == limit {
			break
		}
		list = append(list, p.raw)
	}
	return list
}

// StealPoll asks for updates as a second bot process would: the first one's
// request ends with 409.
func (s *Server) StealPoll() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.polls++
	s.touch()
}
