package webchat

import (
	"net/http"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/web"
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
func (c *Pages) within(w http.ResponseWriter, r *http.Request, t *roster.Trip, p *roster.Person, what string,
	most int) bool {
	if c.Limiter == nil {
		return true
	}
	// The budget is of the real minute, whatever clock the trip lives by.
	bucket, now := "page:"+what+":"+string(t.ID)+":"+string(p.ID), time.Now()
	wait, err := web.Budget{Limiter: c.Limiter, Most: most}.Wait(r.Context(), bucket, now)
	if err != nil {
		c.Log.Warn("web: rate not known", "trip", t.ID, "err", err)
	}
	if wait > 0 {
		web.RetryAfter(w, wait)
	}
	return wait == 0
}
