package desk

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/hex"
	"net/http"
)

//go:embed assets/desk.css
var deskCSS string

//go:embed assets/desk.js
var deskJS []byte

// scriptAt is the script's address: it carries what the script holds, so that a
// browser may keep it and never has an old one.
var scriptAt = func() string {
	sum := sha256.Sum256(deskJS)
	return "/desk/desk.js?v=" + hex.EncodeToString(sum[:6])
}()

func serveScript(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "max-age=31536000, immutable")
	_, _ = w.Write(deskJS)
}

// policy is the Content-Security-Policy: the page's own style, scripts and
// pictures of the own origin, and nothing else.
func policy(framed bool) string {
	sum := sha256.Sum256([]byte(deskCSS))
	ancestors := "'none'"
	if framed {
		ancestors = "'self'"
	}
	return "default-src 'none'; script-src 'self'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"'; connect-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors " + ancestors
}

// guard sets what every answer carries, bounds what is read, and refuses what
// other origins post.
func (d *Desk) guard(next http.Handler) http.Handler {
	own := http.NewCrossOriginProtection().Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", d.csp)
		h.Set("Referrer-Policy", "same-origin")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("X-Robots-Tag", "noindex, nofollow")
		h.Set("Cache-Control", "no-store")
		r.Body = http.MaxBytesReader(w, r.Body, mostPosted)
		own.ServeHTTP(w, r)
	})
}

// mostPosted holds a file of 10 MB and the form around it.
const mostPosted = 11 << 20
