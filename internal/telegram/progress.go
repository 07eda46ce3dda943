package telegram

import "sync"

// maxProgress bounds how many half-sent messages are remembered.
const maxProgress = 1000

// progress remembers how many parts of a long message, and sheets of its picture,
// have arrived, so that a later attempt goes on where the last one stopped. It is
// kept in memory: after a restart, or when another process takes the message over,
// the parts that had arrived arrive once more. Only messages over 4096 characters
// and those with a picture have parts.
type progress struct {
	mu    sync.Mutex
	parts map[string]int // by envelope id
	order []string       // oldest first
}

func (p *progress) sent(id string) int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.parts[id]
}

func (p *progress) note(id string, parts int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.parts == nil {
		p.parts = map[string]int{}
	}
	if _, known := p.parts[id]; !known {
		p.order = append(p.order, id)
	}
	p.parts[id] = parts
	for len(p.order) > maxProgress {
		delete(p.parts, p.order[0])
		p.order = p.order[1:]
	}
}
