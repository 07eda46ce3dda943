package web

import (
	"crypto/sha256"
	"encoding/base64"
	"net/http"
)

// Guard is what stands around pages. Most addresses are the right to what they show,
// so that no other site may learn them by a referrer and no cache may keep the page.
type Guard struct {
	Style  string // the pages' own style sheet, the only one that holds
	Script bool   // they have a script of their own origin, which may call it
	More   string // further sources of the Content-Security-Policy, each with a semicolon behind it
	Framed bool   // pages of the same origin may show them in a frame
	// Referrer tells the own origin, and nobody else, which page a request comes from:
	// over plain http browsers tell a page's own posts apart only by that.
	Referrer bool
	MostBody int64 // how much of a request is read, in bytes; 0: the handler bounds it
}

// Policy is the Content-Security-Policy: the pages' own style, scripts and pictures of
// the own origin, and nothing else.
func (g Guard) Policy() string {
	sum := sha256.Sum256([]byte(g.Style))
	script, pictures, ancestors := "", "data:", "'none'"
	if g.Script {
		script, pictures = "script-src 'self'; connect-src 'self'; ", "'self' data:"
	}
	if g.Framed {
		ancestors = "'self'"
	}
	return "default-src 'none'; " + script + "style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"'; img-src " + pictures + "; " + g.More + "form-action 'self'; base-uri 'none'; frame-ancestors " + ancestors
}

// Around sets what every answer carries, bounds what is read, and refuses what other
// origins post.
func (g Guard) Around(next http.Handler) http.Handler {
	own, policy, referrer := http.NewCrossOriginProtection().Handler(next), g.Policy(), "no-referrer"
	if g.Referrer {
		referrer = "same-origin"
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("Referrer-Policy", referrer)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		h.Set("X-Robots-Tag", "noindex, nofollow")
		h.Set("Cache-Control", "no-store")
		if g.MostBody > 0 {
			r.Body = http.MaxBytesReader(w, r.Body, g.MostBody)
		}
		own.ServeHTTP(w, r)
	})
}

// Paper is the policy of a page to print or to keep as a file: it brings its style
// along and loads nothing.
func Paper(w http.ResponseWriter) {
	w.Header().Set("Content-Security-Policy",
		"default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'")
}
