package load

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/app"
	"gasmuster/internal/roster/rdb"
)

const (
	webhookSecret = "webhook-secret_of-this-run"
	botToken      = "4242424242:AAinvented-token-of-this-run_0001"
)

// redisServer is a redis-server of our own on a socket, with an append-only
// file.
type redisServer struct {
	dir string
	cmd *exec.Cmd
}

var servers struct {
	sync.Mutex
	all []*redisServer
}

// startRedis starts a server that writes its file to the disk as fsync says:
// "always" or "everysec". The file is never rewritten meanwhile, so that no
// second process joins in at one moment of one measurement.
func startRedis(tb testing.TB, fsync string) *redisServer {
	tb.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("CI") == "true" {
			tb.Fatal("no redis-server in PATH, and CI needs one")
		}
		tb.Skip("no redis-server in PATH (apt-get install redis-server)")
	}
	dir, err := os.MkdirTemp("", "gasmuster-load-")
	if err != nil {
		tb.Fatal(err)
	}
	s := &redisServer{dir: dir}
	s.cmd = exec.Command(path, "--port", "0", "--unixsocket", s.socket(), "--dir", dir, "--save", "", "--appendonly",
		"yes",
		"--appendfsync", fsync, "--auto-aof-rewrite-percentage", "0", "--daemonize", "no")
	if err := s.cmd.Start(); err != nil {
		tb.Fatal(err)
	}
	servers.Lock()
	servers.all = append(servers.all, s)
	servers.Unlock()
	tb.Cleanup(s.stop)
	c := s.client(tb)
	for end := time.Now().Add(20 * time.Second); c.Ping(tb.Context()).Err() != nil; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			tb.Fatal("redis-server does not answer")
		}
	}
	return s
}

func (s *redisServer) socket() string { return filepath.Join(s.dir, "redis.sock") }
func (s *redisServer) url() string    { return "unix://" + s.socket() }

// stop may be called twice.
func (s *redisServer) stop() {
	servers.Lock()
	defer servers.Unlock()
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
	s.cmd = nil
	os.RemoveAll(s.dir)
}

// stopServers is for what a failed benchmark left behind.
func stopServers() {
	for _, s := range servers.all {
		s.stop()
	}
}

// client is as the service makes its own.
func (s *redisServer) client(tb testing.TB) redis.UniversalClient {
	tb.Helper()
	o, err := rdb.Options(s.url())
	if err != nil {
		tb.Fatal(err)
	}
	o.PoolSize = 64
	c := redis.NewUniversalClient(o)
	tb.Cleanup(func() { c.Close() })
	return c
}

// settings are those of a deployment that gets its updates by webhook from the
// Bot API server at api.
func settings(api string) app.Config {
	return app.Config{PublicURL: "http://127.0.0.1", TelegramToken: botToken, TelegramAPI: api, TelegramMode: "webhook",
		WebhookSecret: webhookSecret, Secret: "invite secret of this run, long enough", Evening: "0 18 * * *", KeepDays: 30}
}

// embedded is the whole service around a store and a clock.
type embedded = *app.Embedded

// quiet is the log of a deployment, formatted and thrown away.
func quiet() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }

// embed puts the whole service together around a store and a clock. Nothing is
// sent unless its Post runs.
func embed(tb testing.TB, c redis.UniversalClient, api string, now func() time.Time) embedded {
	tb.Helper()
	e, err := app.Embed(tb.Context(), settings(api), c, now, quiet())
	if err != nil {
		tb.Fatal(err)
	}
	return e
}

// serve listens on a port of its own and returns the address.
func serve(tb testing.TB, h http.Handler) string {
	tb.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatal(err)
	}
	srv := &http.Server{Handler: h, ReadHeaderTimeout: time.Minute, IdleTimeout: time.Hour}
	done := make(chan struct{})
	go func() { defer close(done); _ = srv.Serve(l) }()
	tb.Cleanup(func() { _ = srv.Close(); <-done })
	return l.Addr().String()
}

// atOnce does n things, a few dozen at a time, until one fails.
func atOnce(tb testing.TB, n int, do func(ctx context.Context, i int) error) {
	tb.Helper()
	ctx, cancel := context.WithCancelCause(tb.Context())
	defer cancel(nil)
	next := make(chan int)
	var all sync.WaitGroup
	for range 32 {
		all.Go(func() {
			for i := range next {
				if err := do(ctx, i); err != nil {
					cancel(fmt.Errorf("number %d: %w", i, err))
				}
			}
		})
	}
	for i := 0; i < n && ctx.Err() == nil; i++ {
		next <- i
	}
	close(next)
	all.Wait()
	if err := context.Cause(ctx); err != nil {
		tb.Fatal(err)
	}
}
