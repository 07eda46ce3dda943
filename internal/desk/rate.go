package desk

import (
	"math"
	"net/http"
	"strconv"
	"time"
)

// What a shop posts from all its browsers together: far more than an office types,
// and a script that goes round in a circle is held back. The API counts for itself.
const (
	postsPerPeriod = 120
	postPeriod     = time.Minute
)

// withinRate takes one post from the shop's budget. It answers itself when it
// returns false; nothing is stored then.
func (d *Desk) withinRate(v *visit) bool {
	bucket := "desk:" + string(v.shop.ID)
	wait, slot, err := d.Limiter.Take(v.Context(), bucket, postsPerPeriod, postPeriod, v.now)
	if err == nil && wait == 0 {
		err = d.Limiter.Release(v.Context(), bucket, slot, postPeriod, v.now)
	}
	switch {
	case err != nil:
		d.failed(v, err)
	case wait > 0:
		v.w.Header().Set("Retry-After", retryAfter(wait))
		v.page.Problem = v.page.T("desk.slow")
		d.show(v.w, http.StatusTooManyRequests, "alone", v.page)
	default:
		return true
	}
	return false
}

// retryAfter is a wait as the header has it: whole seconds, at least one.
func retryAfter(wait time.Duration) string {
	return strconv.Itoa(max(1, int(math.Ceil(wait.Seconds()))))
}
