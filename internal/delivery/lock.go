package delivery

import (
	"context"
	"sync"

	"gasmuster/internal/roster"
)

// tripLocks lets the events of one trip wait for each other within this
// process, so that they do not conflict at the store. It is a kindness, not a
// guarantee: other processes are held off by the trip's version alone.
type tripLocks struct {
	mu   sync.Mutex
	held map[roster.TripID]*tripLock
}

type tripLock struct {
	free  chan struct{} // holds one token while nobody has the lock
	users int
}

// lock waits for the trip's turn or the end of ctx.
func (l *tripLocks) lock(ctx context.Context, id roster.TripID) (unlock func(), err error) {
	t := l.use(id)
	select {
	case <-t.free:
		return func() { t.free <- struct{}{}; l.leave(id, t) }, nil
	case <-ctx.Done():
		l.leave(id, t)
		return nil, ctx.Err()
	}
}

func (l *tripLocks) use(id roster.TripID) *tripLock {
	l.mu.Lock()
	defer l.mu.Unlock()
	t, ok := l.held[id]
	if !ok {
		t = &tripLock{free: make(chan struct{}, 1)}
		t.free <- struct{}{}
		if l.held == nil {
			l.held = map[roster.TripID]*tripLock{}
		}
		l.held[id] = t
	}
	t.users++
	return t
}

func (l *tripLocks) leave(id roster.TripID, t *tripLock) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if t.users--; t.users == 0 {
		delete(l.held, id)
	}
}
