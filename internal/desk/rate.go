package desk

import (
	"net/http"

	"gasmuster/internal/web"
)

// postsAMinute is what a shop posts from all its browsers together: far more than an
// office types, and a script that goes round in a circle is held back. The API counts
// for itself.
const postsAMinute = 120

// withinRate takes one post from the shop's budget. It answers itself when it
// returns false; nothing is stored then.
func (d *Desk) withinRate(v *visit) bool {
	wait, err := web.Budget{Limiter: d.Limiter, Most: postsAMinute}.Wait(v.Context(), "desk:"+string(v.shop.ID), v.now)
	switch {
	case err != nil:
		d.failed(v, err)
	case wait > 0:
		web.RetryAfter(v.w, wait)
		v.page.Problem = v.page.T("desk.slow")
		d.show(v.w, http.StatusTooManyRequests, "alone", v.page)
	default:
		return true
	}
	return false
}
