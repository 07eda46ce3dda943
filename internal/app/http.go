package app

import (
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"sync/atomic"
	"time"
)

// routes are what the HTTP server serves. A nil handler leaves its route out.
type routes struct {
	telegram http.Handler // POST /telegram/webhook
	shop     http.Handler // /v1/
	pages    http.Handler // /c/ and /page/
	desk     http.Handler // /desk
	doorstep http.Handler // /j/ and /h/
	metrics  http.Handler
	ready    func(context.Context) error
}

// handler is the whole of the HTTP surface. stopping turns readiness off, so
// that a balancer looks elsewhere before the server goes.
func (r routes) handler(m *metrics, log *slog.Logger, stopping *atomic.Bool) http.Handler {
	mux := http.NewServeMux()
	mount := func(pattern, name string, h http.Handler) {
		if h != nil {
			mux.Handle(pattern, counted(name, m, recovering(log, h)))
		}
	}
	mount("GET /healthz", "healthz", http.HandlerFunc(alive))
	mount("GET /readyz", "readyz", readiness(r.ready, stopping))
	mount("GET /metrics", "metrics", r.metrics)
	mount("/telegram/webhook", "telegram", r.telegram)
	mount("/v1/", "shop", r.shop)
	mount("/c/", "page", r.pages)
	mount("/page/", "page-files", r.pages)
	mount("/desk", "desk", r.desk)
	mount("/desk/", "desk", r.desk)
	mount("GET /{$}", "front", http.HandlerFunc(front))
	mount("GET /c/{token}/muster", "muster", r.doorstep)
	mount("/j/", "open-invite", r.doorstep)
	mount("/h/", "host", r.doorstep)
	return mux
}

// front says what this is, to who types the address alone.
func front(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; img-src data:")
	_, _ = io.WriteString(w, `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><link rel="icon" href="data:,"><title>gasmuster</title></head>
<body><main><h1>gasmuster</h1>
<p>Before anybody gets in the water: has every cylinder been analysed by the diver who breathes it, and does the gas suit today's site?</p>
<ul><li><a href="/desk">The shop's desk</a></li><li><a href="/v1/openapi.json">The shop's API (OpenAPI)</a></li></ul>
<p>Divers and leaders come in by their own links.</p></main></body></html>
`)
}

func alive(w http.ResponseWriter, _ *http.Request) { say(w, http.StatusOK, "alive", "") }

// readiness depends on the store alone: without it nothing can be taken in.
// Telegram being away keeps nobody from using the pages.
func readiness(ready func(context.Context) error, stopping *atomic.Bool) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), 2*time.Second)
		defer cancel()
		switch {
		case stopping.Load():
			say(w, http.StatusServiceUnavailable, "not ready", "stopping")
		case ready(ctx) != nil:
			say(w, http.StatusServiceUnavailable, "not ready", "the store can't be reached or written")
		default:
			say(w, http.StatusOK, "ready", "")
		}
	}
}

func say(w http.ResponseWriter, code int, status, why string) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	answer := map[string]string{"status": status}
	if why != "" {
		answer["why"] = why
	}
	_ = json.NewEncoder(w).Encode(answer)
}

// recovering keeps one bad request from taking the process down.
func recovering(log *slog.Logger, h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			v := recover()
			if v == nil {
				return
			}
			if v == http.ErrAbortHandler {
				panic(v)
			}
			log.Error("request could not be handled", "method", r.Method, "stack", string(debug.Stack()))
			http.Error(w, "Something went wrong here. Nothing may have been recorded.", http.StatusInternalServerError)
		}()
		h.ServeHTTP(w, r)
	})
}

// counted counts answers by route and status.
func counted(route string, m *metrics, h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		c := &codeWriter{ResponseWriter: w, code: http.StatusOK}
		defer func() { m.requests.WithLabelValues(route, strconv.Itoa(c.code)).Inc() }()
		h.ServeHTTP(c, r)
	})
}

type codeWriter struct {
	http.ResponseWriter
	code int
}

func (c *codeWriter) WriteHeader(code int) {
	c.code = code
	c.ResponseWriter.WriteHeader(code)
}

// Unwrap lets http.ResponseController reach the connection: live streams flush
// and set deadlines of their own.
func (c *codeWriter) Unwrap() http.ResponseWriter { return c.ResponseWriter }

// Flush is for handlers that ask for http.Flusher themselves.
func (c *codeWriter) Flush() { _ = http.NewResponseController(c.ResponseWriter).Flush() }

// newServer has every time-out set: a slow or silent client holds nothing up.
// A page's live stream lifts the write time-out for itself.
func newServer(h http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler:           h,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      45 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}
}
