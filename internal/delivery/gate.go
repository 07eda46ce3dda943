package delivery

import (
	"context"
	"slices"
	"sync"
	"time"

	"gasmuster/internal/roster"
)

// gate lets one worker at a time ask for a budget that all of them need, the
// most urgent first. Without it every worker that waits for a place wakes at
// the same instant, all but one of them in vain, and an answer to a diver has
// no better chance than an announcement.
type gate struct {
	mu      sync.Mutex
	busy    bool
	waiting []*visitor // the next one first

	next time.Time // before it nothing that isn't urgent asks; of who is inside
}

type visitor struct {
	level roster.Level
	turn  chan struct{} // closed when it is this one's
}

// enter waits for one's turn or the end of ctx. Whoever entered has to leave.
func (g *gate) enter(ctx context.Context, level roster.Level) error {
	v := g.queue(level)
	if v == nil {
		return nil
	}
	select {
	case <-v.turn:
		return nil
	case <-ctx.Done():
		g.giveUp(v)
		return ctx.Err()
	}
}

// queue is nil when the gate was free and is taken now.
func (g *gate) queue(level roster.Level) *visitor {
	g.mu.Lock()
	defer g.mu.Unlock()
	if !g.busy {
		g.busy = true
		return nil
	}
	v := &visitor{level, make(chan struct{})}
	at := slices.IndexFunc(g.waiting, func(w *visitor) bool { return w.level > level })
	if at < 0 {
		at = len(g.waiting)
	}
	g.waiting = slices.Insert(g.waiting, at, v)
	return v
}

// leave hands the gate to who is next.
func (g *gate) leave() {
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.waiting) == 0 {
		g.busy = false
		return
	}
	close(g.waiting[0].turn)
	g.waiting = g.waiting[1:]
}

// giveUp leaves the queue, or the gate when the turn came just now.
func (g *gate) giveUp(v *visitor) {
	g.mu.Lock()
	at := slices.Index(g.waiting, v)
	if at >= 0 {
		g.waiting = slices.Delete(g.waiting, at, at+1)
	}
	g.mu.Unlock()
	if at < 0 {
		g.leave()
	}
}
