// Package webchat is the chat page of a person: the channel for divers and
// leaders without a chat account, and for shops that want none. It is a
// channel like any other: the same conversation, the same messages. Leaders
// have the board on the same link.
//
//	GET  /c/{token}           the page; until somebody joined, its one button
//	POST /c/{token}/join      that button
//	POST /c/{token}/messages  what was typed or pressed -> door -> the page again
//	GET  /c/{token}/events    what is new, as it comes (server-sent events)
//	GET  /c/{token}/board     the leader's board; POST does what its forms say
//	GET  /c/{token}/board/... one person of it, and pages of one form each
//	GET  /page/...            script, icons and the page for when there is no network
//
// The token is the person's invite code. Pages are rendered on the server and
// are plain forms; the script adds what needs one: new messages without
// reloading, messages kept while there is no network, big number keys.
//
// A newcomer finds: page.go and entries.go, what a page shows; post.go, what
// was typed; stream.go and hub.go, what comes live; board.go,
// board_person.go, board_act.go, board_paper.go and board_kept.go, the board; assets.go, what is cached.
package webchat

import (
	"context"
	"html/template"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"github.com/klauspost/compress/gzhttp"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// Door is the one door in, as far as a page uses it.
type Door interface {
	delivery.Handler
	// Invited says whose page a token opens: delivery.ErrInviteWrong,
	// ErrInviteGone or ErrInviteRevoked when it opens none.
	Invited(ctx context.Context, token string) (*roster.Trip, *roster.Person, error)
}

// Chats are the stored pages, with a cheap way to tell that something changed.
type Chats interface {
	roster.Chats
	// Pulse changes whenever the trip or one of its pages does.
	Pulse(ctx context.Context, trip roster.TripID) (string, error)
}

// Deps is what the pages need.
type Deps struct {
	Door     Door
	Chats    Chats
	Renderer *message.Renderer
	Links    *delivery.Linker // of invites that messages carry; nil: none are known
	Limiter  roster.Limiter   // how often a link may be used; nil: no limit
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
	Live   Live
}

// Pages serves everything under /c/ and /page/.
type Pages struct {
	Deps
	pages   *template.Template
	files   assets
	hub     hub
	places  places
	handler http.Handler
	ended   chan struct{}
	end     sync.Once
}

// New makes the pages.
func New(d Deps) *Pages {
	if d.Now == nil {
		d.Now = time.Now
	}
	if d.Log == nil {
		d.Log = slog.Default()
	}
	if d.Patience == 0 {
		d.Patience = 1500 * time.Millisecond
	}
	d.Live = d.Live.orDefault()
	c := &Pages{Deps: d, pages: templates(), files: newAssets(), ended: make(chan struct{}),
		hub:    hub{pulse: d.Chats.Pulse, every: d.Live.Look},
		places: places{most: d.Live.Streams, mostOfOne: d.Live.StreamsOfOne}}
	guard := web.Guard{Style: pageCSS, Script: true, More: "manifest-src 'self'; worker-src 'self'; ",
		Framed: d.Framed, Referrer: d.Framed}
	c.handler = guard.Around(c.routes())
	return c
}

func (c *Pages) routes() http.Handler {
	mux := http.NewServeMux()
	small := func(pattern string, h http.HandlerFunc) { mux.Handle(pattern, gzhttp.GzipHandler(h)) }
	small("GET /c/{token}", c.show)
	small("POST /c/{token}/join", c.joins)
	small("POST /c/{token}/messages", c.take)
	mux.HandleFunc("GET /c/{token}/events", c.events) // sent as it comes
	small("GET /c/{token}/board", c.showBoard)
	small("POST /c/{token}/board", c.act)
	small("GET /c/{token}/board/site", c.showSite)
	small("GET /c/{token}/board/paper", c.showPaper)
	small("GET /c/{token}/board/kept", c.showKept)
	small("GET /c/{token}/board/{person}", c.showPerson)
	small("GET /c/{token}/board/{person}/{form}", c.showForm)
	small("GET /c/{token}/record", c.showRecord)
	small("GET /c/{token}/app.webmanifest", c.manifest)
	small("GET /page/{name}", c.asset)
	return mux
}

func (c *Pages) ServeHTTP(w http.ResponseWriter, r *http.Request) { c.handler.ServeHTTP(w, r) }

// Appended tells open pages that a message has come; delivery.WebSender calls it.
func (c *Pages) Appended(trip roster.TripID, _ roster.PersonID) { c.hub.tell(trip) }

// EndStreams ends every live stream, for an orderly stop: a server waits for
// its requests. Pages come back by themselves.
func (c *Pages) EndStreams() { c.end.Do(func() { close(c.ended) }) }
