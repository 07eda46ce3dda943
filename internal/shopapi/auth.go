package shopapi

import (
	"crypto/subtle"
	"errors"
	"net/http"
	"strings"

	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// authorise finds the shop of the bearer key (RFC 6750). It answers itself
// when it returns false.
func (a *api) authorise(c *call) bool {
	scheme, key, _ := strings.Cut(c.Header.Get("Authorization"), " ")
	key = strings.TrimSpace(key)
	if !strings.EqualFold(scheme, "Bearer") || key == "" || len(key) > keys.Longest {
		unauthorised(c.w)
		return false
	}
	hash := keys.Hash(key)
	if wait := a.guesses.Wait(c.Request, hash, c.now); wait > 0 {
		web.RetryAfter(c.w, wait)
		refuse(c.w, http.StatusTooManyRequests,
			"Too many wrong keys came from this address. Retry-After says when the next is looked at.")
		return false
	}
	shop, err := a.Shops.ShopByKey(c.Context(), hash)
	switch {
	case err != nil && !errors.Is(err, roster.ErrNotFound):
		a.failed(c.w, c.Request, err)
	case err != nil || subtle.ConstantTimeCompare([]byte(shop.KeyHash), []byte(hash)) != 1:
		a.guesses.Failed(c.Request, hash, c.now)
		unauthorised(c.w)
	default:
		a.guesses.Opened(hash)
		c.shop = shop
		return true
	}
	return false
}

func unauthorised(w http.ResponseWriter) {
	w.Header().Set("WWW-Authenticate", `Bearer realm="gasmuster"`)
	refuse(w, http.StatusUnauthorized, "A shop's key is needed, as: Authorization: Bearer KEY.")
}
