package webchat

import (
	"math"
	"net/http"
	"strconv"
	"time"

	"gasmuster/internal/roster"
)

// What one link may ask for in a minute: far more than two thumbs, or a page
// that keeps itself live, need.
const (
	looksAMinute = 240
	postsAMinute = 60
)

// within takes one request out of the link's budget, which all processes
// share. When the limiter can't be asked the store is away, and whoever needs
// it says so.
func (c *Pages) within(w http.ResponseWriter, r *http.Request, t *roster.Trip, p *roster.Person, what string, most int) bool {
	if c.Limiter == nil {
		return true
	}
	// The budget is of the real minute, whatever clock the trip lives by.
	bucket, now := "page:"+what+":"+string(t.ID)+":"+string(p.ID), time.Now()
	wait, slot, err := c.Limiter.Take(r.Context(), bucket, most, time.Minute, now)
	if err != nil {
		c.Log.Warn("web: rate not known", "trip", t.ID, "err", err)
		return true
	}
	if wait > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(max(1, int(math.Ceil(wait.Seconds())))))
		return false
	}
	if err := c.Limiter.Release(r.Context(), bucket, slot, time.Minute, now); err != nil {
		c.Log.Warn("web: rate slot", "trip", t.ID, "err", err)
	}
	return true
}
