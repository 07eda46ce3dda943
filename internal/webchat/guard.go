package webchat

import (
	"crypto/sha256"
	"encoding/base64"
	"net/http"
)

// policy is the Content-Security-Policy: the page's own style, scripts and
// pictures of the own origin, and nothing else.
func policy(framed bool) string {
	sum := sha256.Sum256([]byte(pageCSS))
	ancestors := "'none'"
	if framed {
		ancestors = "'self'"
	}
	return "default-src 'none'; script-src 'self'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"'; connect-src 'self'; img-src 'self' data:; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors " + ancestors
}

// guard sets what every answer carries. The token is in the address, so that
// no other site may learn it by a referrer and no cache may keep the page.
func (c *Pages) guard(next http.Handler) http.Handler {
	referrer := "no-referrer"
	if c.Framed {
		referrer = "same-origin"
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", c.csp)
		h.Set("Referrer-Policy", referrer)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		h.Set("X-Robots-Tag", "noindex, nofollow")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}
