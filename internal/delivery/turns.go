package delivery

import (
	"context"
	"slices"
	"sync"

	"gasmuster/internal/roster"
)

// turns lets the events of one trip wait for each other within this process, so
// that they do not conflict at the store. It is a kindness, not a guarantee:
// other processes are held off by the trip's version alone.
//
// Whose turn it is may take along some that wait behind it; see Door.together.
type turns struct {
	mu    sync.Mutex
	trips map[roster.TripID]*queue // of those that somebody is at work on
}

type queue struct {
	waiting []*turn // the next one first
}

// turn is one event's place in its trip's queue.
type turn struct {
	work   work
	called chan struct{} // closed when it is this one's turn, or it was taken along and is done
	done   bool          // with another one's commit
	alone  bool          // was taken along once, in vain
	gone   bool          // nobody waits for it any more
}

// mostTogether bounds what one commit carries.
const mostTogether = 16

// enter waits for one's turn, for being done without one, or for the end of
// ctx. Whoever entered and isn't done has to leave.
func (t *turns) enter(ctx context.Context, w work) (*turn, error) {
	me := &turn{work: w, called: make(chan struct{})}
	if t.atOnce(me) {
		return me, nil
	}
	select {
	case <-me.called:
		return me, nil
	case <-ctx.Done():
		t.giveUp(me)
		return nil, ctx.Err()
	}
}

// atOnce tells whether nobody was at work on the trip; else it queues up.
func (t *turns) atOnce(me *turn) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	if q := t.trips[me.work.trip]; q != nil {
		q.waiting = append(q.waiting, me)
		return false
	}
	if t.trips == nil {
		t.trips = map[roster.TripID]*queue{}
	}
	t.trips[me.work.trip] = &queue{}
	return true
}

// giveUp leaves the queue. Somebody who was called meanwhile passes that on;
// what was taken along is stored or not, as with any commit that one doesn't
// wait for.
func (t *turns) giveUp(me *turn) {
	t.mu.Lock()
	me.gone = true
	if q := t.trips[me.work.trip]; q != nil {
		if at := slices.Index(q.waiting, me); at >= 0 {
			q.waiting = slices.Delete(q.waiting, at, at+1)
		}
	}
	t.mu.Unlock()
	select {
	case <-me.called:
		if !me.done {
			t.leave(me)
		}
	default:
	}
}

// leave calls who is next.
func (t *turns) leave(me *turn) {
	t.mu.Lock()
	defer t.mu.Unlock()
	q := t.trips[me.work.trip]
	if len(q.waiting) == 0 {
		delete(t.trips, me.work.trip)
		return
	}
	next := q.waiting[0]
	q.waiting = q.waiting[1:]
	close(next.called)
}

// company are the turns right behind one's own that can be taken along.
func (t *turns) company(me *turn) []*turn {
	t.mu.Lock()
	defer t.mu.Unlock()
	if me.alone || !me.work.together {
		return nil
	}
	q := t.trips[me.work.trip]
	n := 0
	for n < len(q.waiting) && n < mostTogether-1 && !q.waiting[n].alone && q.waiting[n].work.together {
		n++
	}
	with := slices.Clone(q.waiting[:n])
	q.waiting = q.waiting[n:]
	return with
}

// part ends what company began: those taken along are done, or go back to
// where they were, each to go alone.
func (t *turns) part(me *turn, with []*turn, done bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	me.alone = !done
	for _, w := range with {
		w.done, w.alone = done, !done
		if done {
			close(w.called)
		}
	}
	if !done {
		q := t.trips[me.work.trip]
		still := slices.DeleteFunc(with, func(w *turn) bool { return w.gone })
		q.waiting = append(still, q.waiting...)
	}
}
