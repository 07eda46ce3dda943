package rdb_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/testport"
)

// server is one Redis that the conformance tests run on.
type server struct {
	name    string
	client  redis.UniversalClient
	forward func(time.Duration) // lets keys expire without waiting; nil on real servers
}

// eachServer runs a test on an embedded Redis, on a real one with append-only
// file, on a real one in cluster mode, which refuses scripts whose keys lie in
// several slots, and on a cluster of three.
func eachServer(t *testing.T, test func(t *testing.T, s *server)) {
	t.Run("embedded", func(t *testing.T) { test(t, embedded(t)) })
	t.Run("server", func(t *testing.T) { test(t, shared(t, "server")) })
	t.Run("cluster", func(t *testing.T) { test(t, shared(t, "cluster")) })
	t.Run("three masters", func(t *testing.T) { test(t, shared(t, "three masters")) })
}

func embedded(t testing.TB) *server {
	m := miniredis.RunT(t)
	return &server{name: "embedded", client: open(t, "redis://"+m.Addr()), forward: m.FastForward}
}

func open(t testing.TB, url string) redis.UniversalClient {
	c, err := rdb.Open(url)
	if err != nil {
		t.Fatalf("open: %v", err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

// running are the real servers that all tests of the package share.
var running = struct {
	sync.Mutex
	byName map[string]deployment
}{byName: map[string]deployment{}}

// deployment is one real server, or several that belong together.
type deployment interface {
	client(testing.TB) redis.UniversalClient
	stop()
}

func TestMain(m *testing.M) {
	code := m.Run()
	for _, p := range running.byName {
		p.stop()
	}
	os.Exit(code)
}

// shared is a real server, emptied. Tests on it don't run in parallel.
func shared(t testing.TB, name string) *server {
	running.Lock()
	defer running.Unlock()
	d := running.byName[name]
	if d == nil {
		d = deploy(t, name)
		running.byName[name] = d
	}
	c := d.client(t)
	flush(t, c)
	return &server{name: name, client: c}
}

func deploy(t testing.TB, name string) deployment {
	switch name {
	case "three masters":
		return startMasters(t)
	case "cluster":
		p := newProcess(t, "--cluster-enabled", "yes", "--cluster-announce-ip", "127.0.0.1", "--cluster-port", freePort(t))
		p.start(t)
		return p
	}
	p := newProcess(t)
	p.start(t)
	return p
}

// newProcess is a server with a directory that goes with it.
func newProcess(t testing.TB, more ...string) *process {
	dir, err := os.MkdirTemp("", "gasmuster-redis-")
	if err != nil {
		t.Fatal(err)
	}
	return &process{dir: dir, temporary: true, port: freePort(t), more: more}
}

// process is a redis-server of our own.
type process struct {
	dir       string
	temporary bool // dir goes with it
	port      string
	more      []string
	cmd       *exec.Cmd
}

func freePort(t testing.TB) string { return fmt.Sprint(testport.Free(t)) }

// start runs the server and returns when it serves: one in cluster mode has all
// slots to itself.
func (p *process) start(t testing.TB) {
	p.launch(t)
	if len(p.more) > 0 {
		p.formCluster(t)
	}
}

// launch runs the server and returns when it answers. Without a redis-server
// the test is skipped; under CI that is a failure.
func (p *process) launch(t testing.TB) {
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no redis-server in PATH: the store is not tested against a real Redis")
		}
		t.Skip("no redis-server in PATH: not tested against a real Redis (apt-get install redis-server)")
	}
	args := append([]string{"--port", p.port, "--bind", "127.0.0.1", "--dir", p.dir, "--save", "",
		"--appendonly", "yes", "--appendfsync", "always", "--daemonize", "no", "--repl-diskless-sync-delay", "0"}, p.more...)
	p.run(t, exec.Command(path, args...), "Ready to accept connections")
}

// sentinel runs one that guards as its settings say.
func (p *process) sentinel(t testing.TB, settings string) {
	path, err := exec.LookPath("redis-server") // it is a sentinel with --sentinel
	if err != nil {
		t.Skip("no redis-server in PATH")
	}
	file := filepath.Join(p.dir, "sentinel.conf")
	if err := os.WriteFile(file, []byte(settings), 0o600); err != nil {
		t.Fatal(err)
	}
	p.run(t, exec.Command(path, file, "--sentinel"), "+monitor")
}

func (p *process) run(t testing.TB, cmd *exec.Cmd, ready string) {
	p.cmd = cmd
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatalf("start redis-server: %v", err)
	}
	awaitLine(t, bufio.NewScanner(out), ready)
}

// awaitLine reads a server's log until it says what we wait for, and goes on
// reading it so that the server never blocks on its log.
func awaitLine(t testing.TB, log *bufio.Scanner, want string) {
	var said []string
	for log.Scan() {
		said = append(said, log.Text())
		if strings.Contains(log.Text(), want) {
			go func() {
				for log.Scan() {
				}
			}()
			return
		}
	}
	t.Fatalf("redis-server ended before it was ready:\n%s", strings.Join(said, "\n"))
}

// formCluster makes a cluster of this one node.
func (p *process) formCluster(t testing.TB) {
	c := redis.NewClient(&redis.Options{Addr: "127.0.0.1:" + p.port})
	defer c.Close()
	info, err := c.ClusterInfo(t.Context()).Result()
	if err == nil && strings.Contains(info, "cluster_slots_assigned:0") {
		err = c.ClusterAddSlotsRange(t.Context(), 0, 16383).Err()
	}
	if err != nil {
		t.Fatalf("form cluster: %v", err)
	}
	eventually(t, "the cluster to be ready", func() bool {
		info, err := c.ClusterInfo(t.Context()).Result()
		return err == nil && strings.Contains(info, "cluster_state:ok")
	})
}

func (p *process) client(t testing.TB) redis.UniversalClient {
	if len(p.more) == 0 {
		return open(t, "redis://127.0.0.1:"+p.port)
	}
	return open(t, "redis://127.0.0.1:"+p.port+",127.0.0.1:"+p.port)
}

// stop ends the server as an operator would, and waits for it.
func (p *process) stop() {
	_ = p.cmd.Process.Signal(os.Interrupt)
	_ = p.cmd.Wait()
	if p.temporary {
		os.RemoveAll(p.dir)
	}
}

// crash ends it without a chance to write anything.
func (p *process) crash() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}

// end crashes it and removes what it kept.
func (p *process) end() {
	p.crash()
	os.RemoveAll(p.dir)
}

// eventually asks until something is true that another process does: soon, or on a
// busy machine after a while.
func eventually(t testing.TB, what string, is func() bool) {
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for !is() {
		select {
		case <-ctx.Done():
			t.Fatalf("waited too long for %s", what)
		case <-tick.C:
		}
	}
}

// own is a real server for one test that stops it.
func own(t *testing.T) *process {
	p := &process{dir: filepath.Join(t.TempDir()), port: freePort(t)}
	p.start(t)
	t.Cleanup(func() { p.crash() })
	return p
}
