// Package app puts the service together: settings, wiring, the HTTP surface,
// start and orderly stop, health and metrics.
//
//	settings --load.go, check.go--> Config --wire.go--> service --serve.go--> run, stop
//
// A newcomer who adds a setting touches config.go, check.go and settings.go; a
// new part of the service, wire.go.
package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"runtime/debug"
	"sync"
	"time"

	"gasmuster/internal/lettering"
)

// NewLog is the service's log, as the settings ask for it.
func NewLog(cfg Config, w io.Writer) *slog.Logger {
	if cfg.Log == "json" {
		return slog.New(slog.NewJSONHandler(w, nil))
	}
	return slog.New(slog.NewTextHandler(w, nil))
}

// Serve runs the service until ctx ends, then stops it in order. It returns an
// error when it could not start, or when the HTTP server failed.
func Serve(ctx context.Context, cfg Config, log *slog.Logger) error {
	TuneMemory()
	lettering.UseInstalled(os.DirFS("/usr/share/fonts"))
	s, err := wire(ctx, cfg, log)
	if err != nil {
		return err
	}
	defer s.client.Close()
	listener, err := net.Listen("tcp", cfg.Listen)
	if err != nil {
		return fmt.Errorf("%sLISTEN: %w; is another program there?", Prefix, err)
	}
	end, err := s.serveMetrics()
	if err != nil {
		_ = listener.Close()
		return err
	}
	defer end()
	return s.run(ctx, listener)
}

// serveMetrics serves Prometheus on a listener of its own, when one is set, until
// end is called.
func (s *service) serveMetrics() (end func(), err error) {
	if s.cfg.MetricsListen == "" {
		return func() {}, nil
	}
	listener, err := net.Listen("tcp", s.cfg.MetricsListen)
	if err != nil {
		return nil, fmt.Errorf("%sMETRICS_LISTEN: %w; is another program there?", Prefix, err)
	}
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", s.metrics.handler())
	server := newServer(mux, s.log)
	go func() { _ = server.Serve(listener) }()
	s.log.Info("metrics", "listen", listener.Addr().String())
	return func() { _ = server.Close() }, nil
}

// Time for an orderly stop: requests under way, the beat, letters being sent.
const (
	requestsEnd = 8 * time.Second
	beatEnd     = 10 * time.Second
	lettersEnd  = 30 * time.Second
)

// run starts every part and stops them in the order that loses nothing: first
// no more comes in, then nothing new is decided, then what is decided is sent.
func (s *service) run(ctx context.Context, listener net.Listener) error {
	server := newServer(s.handler, s.log)
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()

	var intake, sending sync.WaitGroup
	taking, noMore := context.WithCancel(context.WithoutCancel(ctx))
	defer noMore()
	if s.telegram != nil {
		intake.Go(func() { _ = s.telegram.Run(taking) })
	}
	posting, stopPosting := context.WithCancel(context.WithoutCancel(ctx))
	defer stopPosting()
	sending.Go(func() { s.postman.Run(posting) })
	sending.Go(func() { s.teller.Run(posting) })
	s.runner.Start()
	s.log.Info("ready", "listen", listener.Addr().String(), "public_url", s.cfg.PublicURL, "telegram", s.telegramMode())
	debug.FreeOSMemory() // what starting took, catalogues mostly, is not needed any more
	go giveBack(posting, debug.FreeOSMemory)

	var err error
	select {
	case <-ctx.Done():
		s.log.Info("stopping")
	case err = <-failed:
		err = fmt.Errorf("HTTP server: %w", err)
	}
	s.stopping.Store(true)
	noMore()
	s.pages.EndStreams()
	s.endRequests(server)
	within(requestsEnd, &intake)
	s.endBeat()
	stopPosting()
	within(lettersEnd, &sending)
	s.log.Info("stopped")
	return err
}

func (s *service) telegramMode() string {
	if s.telegram == nil {
		return "off: " + Prefix + "TELEGRAM_TOKEN is not set"
	}
	return s.cfg.TelegramMode
}

// endRequests lets requests finish; those that don't are cut off, and their
// senders come again.
func (s *service) endRequests(server *http.Server) {
	ctx, cancel := context.WithTimeout(context.Background(), requestsEnd)
	defer cancel()
	if err := server.Shutdown(ctx); err != nil && !errors.Is(err, http.ErrServerClosed) {
		s.log.Warn("requests cut off", "error", err)
		_ = server.Close()
	}
}

func (s *service) endBeat() {
	ctx, cancel := context.WithTimeout(context.Background(), beatEnd)
	defer cancel()
	if err := s.runner.Stop(ctx); err != nil {
		s.log.Warn("reminders cut off; they come when the service is back", "error", err)
	}
}

// within waits for w, at most for d.
func within(d time.Duration, w *sync.WaitGroup) {
	done := make(chan struct{})
	go func() { w.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(d):
	}
}
