package webchat

import (
	"context"
	"sync"
	"time"

	"gasmuster/internal/roster"
)

// hub tells open pages that something on their trip has changed. What this
// process appends is told at once; what others commit is found by one cheap
// look a second for each trip that somebody is looking at.
type hub struct {
	pulse func(context.Context, roster.TripID) (string, error)
	every time.Duration

	mu    sync.Mutex
	trips map[roster.TripID]*watch
}

// watch is one trip that is being looked at.
type watch struct {
	pages map[chan struct{}]bool
	stop  context.CancelFunc
}

// follow returns a channel that gets a value whenever the trip may have
// changed, and what ends it.
func (h *hub) follow(trip roster.TripID) (changed <-chan struct{}, end func()) {
	h.mu.Lock()
	defer h.mu.Unlock()
	w := h.trips[trip]
	if w == nil {
		ctx, stop := context.WithCancel(context.Background())
		w = &watch{pages: map[chan struct{}]bool{}, stop: stop}
		if h.trips == nil {
			h.trips = map[roster.TripID]*watch{}
		}
		h.trips[trip] = w
		go h.look(ctx, trip)
	}
	one := make(chan struct{}, 1)
	w.pages[one] = true
	return one, func() { h.leave(trip, w, one) }
}

func (h *hub) leave(trip roster.TripID, w *watch, one chan struct{}) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(w.pages, one)
	if len(w.pages) == 0 {
		w.stop()
		delete(h.trips, trip)
	}
}

// look finds what other processes change. A store that can't be asked is
// asked again at the next beat: a page that misses a beat loses nothing.
func (h *hub) look(ctx context.Context, trip roster.TripID) {
	beat := time.NewTicker(h.every)
	defer beat.Stop()
	was, known := "", false
	for {
		if now, err := h.pulse(ctx, trip); err == nil {
			if known && now != was {
				h.tell(trip)
			}
			was, known = now, true
		}
		select {
		case <-ctx.Done():
			return
		case <-beat.C:
		}
	}
}

// tell wakes the trip's open pages. It never blocks: a page that was woken and
// has not looked yet will see this too.
func (h *hub) tell(trip roster.TripID) {
	h.mu.Lock()
	defer h.mu.Unlock()
	w := h.trips[trip]
	if w == nil {
		return
	}
	for one := range w.pages {
		select {
		case one <- struct{}{}:
		default:
		}
	}
}
