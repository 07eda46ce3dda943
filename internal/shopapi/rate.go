package shopapi

import (
	"math"
	"net/http"
	"strconv"
	"time"
)

// A shop's key may be used this often; all processes of a deployment share the
// count.
const (
	ratePerPeriod = 120
	ratePeriod    = time.Minute
)

// withinRate takes one request from the shop's budget. When the limiter itself
// can't be asked the store is down, and the request says so.
func (a *api) withinRate(c *call) bool {
	bucket := "shop:" + string(c.shop.ID)
	wait, slot, err := a.Limiter.Take(c.Context(), bucket, ratePerPeriod, ratePeriod, c.now)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return false
	}
	if wait > 0 {
		c.w.Header().Set("Retry-After", strconv.Itoa(max(1, int(math.Ceil(wait.Seconds())))))
		refuse(c.w, http.StatusTooManyRequests, "A key may be used 120 times a minute. Retry-After says when to go on.")
		return false
	}
	// The window counts from the request, so the slot is given back at once.
	if err := a.Limiter.Release(c.Context(), bucket, slot, ratePeriod, c.now); err != nil {
		a.log.Warn("shop api: rate slot", "err", err)
	}
	return true
}
