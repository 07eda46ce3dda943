package shopapi

import (
	"net/http"

	"gasmuster/internal/web"
)

// callsAMinute is how often a shop's key may be used; all processes of a deployment
// share the count.
const callsAMinute = 120

// withinRate takes one request from the shop's budget. When the limiter itself
// can't be asked the store is down, and the request says so.
func (a *api) withinRate(c *call) bool {
	wait, err := web.Budget{Limiter: a.Limiter, Most: callsAMinute}.Wait(c.Context(), "shop:"+string(c.shop.ID), c.now)
	switch {
	case err != nil:
		a.failed(c.w, c.Request, err)
	case wait > 0:
		web.RetryAfter(c.w, wait)
		refuse(c.w, http.StatusTooManyRequests, "A key may be used 120 times a minute. Retry-After says when to go on.")
	default:
		return true
	}
	return false
}
