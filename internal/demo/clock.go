package demo

import (
	"sync"
	"time"
)

// clock is the demo's time: it stands still or runs, and can be moved forward.
type clock struct {
	mu      sync.Mutex
	at      time.Time // what it shows, or showed when it was set running
	since   time.Time // when it was set running, zero while it stands
	elapsed func(time.Time) time.Duration
}

func newClock(at time.Time) *clock { return &clock{at: at, elapsed: time.Since} }

// Now is what the clock shows.
func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now()
}

func (c *clock) now() time.Time {
	if c.since.IsZero() {
		return c.at
	}
	return c.at.Add(c.elapsed(c.since))
}

// run lets the clock go on by itself, as fast as any other.
func (c *clock) run() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at, c.since = c.now(), time.Now()
}

// forward moves the clock to t. It never goes back: what was said was said.
func (c *clock) forward(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if t.Before(c.now()) {
		return
	}
	c.at = t
	if !c.since.IsZero() {
		c.since = time.Now()
	}
}

// reset puts the clock to t, wherever that is.
func (c *clock) reset(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = t
	if !c.since.IsZero() {
		c.since = time.Now()
	}
}
