// Package webchat is the chat page of a person: the channel for divers and
// leaders without a chat account, and for shops that want none. It is a
// channel like any other: the same conversation, the same messages.
//
//	GET  /c/{token}           the page; opening it the first time joins
//	POST /c/{token}/messages  what was typed or pressed -> door -> redirect to the page
//
// The token is the person's invite code. Pages are rendered on the server,
// with the style inside and no script; every choice is a form button, so that
// they work on any phone and with bad signal. page.go gathers what a page
// shows, post.go takes what was typed, guard.go sets the security headers.
package webchat

import (
	"context"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Door is the one door in, as far as a page uses it.
type Door interface {
	delivery.Handler
	// Invited says whose page a token opens: delivery.ErrInviteWrong,
	// ErrInviteGone or ErrInviteRevoked when it opens none.
	Invited(ctx context.Context, token string) (*roster.Trip, *roster.Person, error)
}

// Deps is what the pages need.
type Deps struct {
	Door     Door
	Chats    roster.Chats
	Renderer *message.Renderer
	Now      func() time.Time // default time.Now
	Log      *slog.Logger     // default slog.Default()
	// Patience is how long the answer to a message is awaited before the page
	// is shown without it; default 1.5 s.
	Patience time.Duration
	// Framed lets pages of the same origin show this one in a frame, as the
	// demo does with its phones. The demo also runs over plain http, where
	// browsers tell a page's own posts apart only if some referrer is sent, so
	// that it is sent to the own origin then.
	Framed bool
}

//go:embed assets/page.html
var pageHTML string

//go:embed assets/page.css
var pageCSS string

type chat struct {
	Deps
	page *template.Template
	csp  string
}

// New is the handler of everything under /c/.
func New(d Deps) http.Handler {
	if d.Now == nil {
		d.Now = time.Now
	}
	if d.Log == nil {
		d.Log = slog.Default()
	}
	if d.Patience == 0 {
		d.Patience = 1500 * time.Millisecond
	}
	c := &chat{Deps: d, page: template.Must(template.New("page").Parse(pageHTML)), csp: policy(pageCSS, d.Framed)}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /c/{token}", c.show)
	mux.HandleFunc("POST /c/{token}/messages", c.take)
	return c.guard(http.NewCrossOriginProtection().Handler(mux))
}

// policy is the Content-Security-Policy: nothing but the page's own style.
func policy(css string, framed bool) string {
	sum := sha256.Sum256([]byte(css))
	ancestors := "'none'"
	if framed {
		ancestors = "'self'"
	}
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"'; img-src data:; form-action 'self'; base-uri 'none'; frame-ancestors " + ancestors
}

// guard sets what every answer carries. The token is in the address, so that
// no other site may learn it by a referrer and no cache may keep the page.
func (c *chat) guard(next http.Handler) http.Handler {
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
