package e2e

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// proxy stands between the program and Redis and makes the line bad.
type proxy struct {
	port  int
	redis string
	// loseReplies cuts that many connections after a script call went through
	// and before its answer comes back.
	loseReplies atomic.Int64
	lost        atomic.Int64
	delay       atomic.Int64 // nanoseconds added to each answer
	mu          sync.Mutex
	open        map[net.Conn]bool
}

func startProxy(t *testing.T, r *redis) *proxy {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{port: l.Addr().(*net.TCPAddr).Port, redis: fmt.Sprintf("127.0.0.1:%d", r.port), open: map[net.Conn]bool{}}
	t.Cleanup(func() { l.Close(); p.drop() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go p.serve(c)
		}
	}()
	return p
}

func (p *proxy) url() string { return redisURL(p.port) }

// drop cuts every connection.
func (p *proxy) drop() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c := range p.open {
		c.Close()
	}
}

func (p *proxy) keep(c net.Conn, yes bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if yes {
		p.open[c] = true
	} else {
		delete(p.open, c)
	}
}

func (p *proxy) serve(near net.Conn) {
	defer near.Close()
	far, err := net.Dial("tcp", p.redis)
	if err != nil {
		return
	}
	defer far.Close()
	p.keep(near, true)
	defer p.keep(near, false)
	var script atomic.Bool // the request on its way is a commit
	go func() {
		defer far.Close()
		buf := make([]byte, 1<<20)
		for {
			n, err := near.Read(buf)
			if n > 0 {
				if strings.Contains(strings.ToLower(string(buf[:min(n, 64)])), "evalsha") &&
					strings.Contains(string(buf[:n]), ":sources:") {
					script.Store(true)
				}
				if _, err := far.Write(buf[:n]); err != nil {
					return
				}
			}
			if err != nil {
				return
			}
		}
	}()
	buf := make([]byte, 1<<20)
	for {
		n, err := far.Read(buf)
		if n > 0 {
			if script.Swap(false) && p.loseReplies.Add(-1) >= 0 {
				p.lost.Add(1)
				return // applied, and nobody hears of it
			}
			if d := time.Duration(p.delay.Load()); d > 0 {
				<-time.After(d)
			}
			if _, err := near.Write(buf[:n]); err != nil {
				return
			}
		}
		if err != nil {
			return
		}
	}
}

// Answers of Redis are lost after the commit was applied: each commit
// recognises itself; nothing is there twice, nothing is dropped.
func TestAnswersOfRedisLost(t *testing.T) {
	r := startRedis(t)
	p := startProxy(t, r)
	api := standin.New(t)
	b := startBot(t, r, api, webhook("GASMUSTER_REDIS_URL="+p.url())...)
	tr := b.create(charter())
	c := b.joinAll(api, tr)

	p.loseReplies.Store(2)
	c.tomasz.Send("31.2")
	answered(c.tomasz, "31.2")
	p.loseReplies.Store(1)
	c.marit.Send("30.9")
	answered(c.marit, "30.9")
	if got := p.lost.Load(); got < 2 {
		t.Fatalf("%d answers were lost, want the test to lose some", got)
	}
	p.loseReplies.Store(0)
	board := b.board(tr)
	for _, name := range []string{"Tomasz", "Marit"} {
		if got := person(t, board, name)["cylinders"].([]any)[0].(map[string]any)["reading"]; got == nil {
			t.Errorf("%s's reading is missing", name)
		}
	}
	saidOnce(t, api, c)
}

// A slow Redis, and one that drops connections: everything arrives in the end,
// once.
func TestRedisSlowAndDropping(t *testing.T) {
	r := startRedis(t)
	p := startProxy(t, r)
	api := standin.New(t, standin.Options{Patience: 2 * time.Minute})
	b := startBot(t, r, api, webhook("GASMUSTER_REDIS_URL="+p.url())...)
	tr := b.create(charter())
	c := b.joinAll(api, tr)

	p.delay.Store(int64(150 * time.Millisecond))
	c.tomasz.Send("31.2")
	for range 5 {
		p.drop()
		gap := time.NewTimer(80 * time.Millisecond)
		<-gap.C
	}
	p.delay.Store(0)
	answered(c.tomasz, "31.2")
	until(t, "ready again", func() bool { return b.ready() == http.StatusOK })
	if got := reading(t, b.board(tr), "Tomasz"); got != 31.2 {
		t.Errorf("Tomasz has %v, want 31.2", got)
	}
	saidOnce(t, api, c)
}

// A Redis that refuses writes (a replica after a failover, out of memory):
// nobody is told "recorded", readiness goes off, and all recovers by itself.
func TestRedisRefusesWrites(t *testing.T) {
	for _, c := range []struct {
		name        string
		break_, fix []string
	}{
		{"read-only after a failover", []string{"REPLICAOF", "127.0.0.1", "1"}, []string{"REPLICAOF", "NO", "ONE"}},
		{"out of memory", []string{"CONFIG", "SET", "maxmemory", "1"}, []string{"CONFIG", "SET", "maxmemory", "0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := startRedis(t)
			api := standin.New(t)
			b := startBot(t, r, api, webhook()...)
			tr := b.create(charter())
			people := b.joinAll(api, tr)
			r.say(c.break_...)
			until(t, "readiness is off", func() bool { return b.ready() == http.StatusServiceUnavailable })
			people.tomasz.Send("31.2")
			until(t, "the update was refused", func() bool { return delivered(api, "31.2", http.StatusServiceUnavailable) })
			for _, m := range people.tomasz.Messages() {
				if claimsStored(m) {
					t.Errorf("Tomasz was told %q while nothing could be stored", m.Text)
				}
			}
			r.say(c.fix...)
			answered(people.tomasz, "31.2")
			until(t, "ready again", func() bool { return b.ready() == http.StatusOK })
			if got := reading(t, b.board(tr), "Tomasz"); got != 31.2 {
				t.Errorf("Tomasz has %v, want 31.2", got)
			}
			saidOnce(t, api, people)
		})
	}
}

// say sends one command to the server.
func (r *redis) say(words ...string) {
	r.t.Helper()
	c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", r.port))
	if err != nil {
		r.t.Fatal(err)
	}
	defer c.Close()
	fmt.Fprintf(c, "*%d\r\n", len(words))
	for _, w := range words {
		fmt.Fprintf(c, "$%d\r\n%s\r\n", len(w), w)
	}
	answer := make([]byte, 3)
	if _, err := io.ReadFull(c, answer); err != nil || string(answer) != "+OK" {
		r.t.Fatalf("%v answered %q, %v", words, answer, err)
	}
}

// startCluster starts three masters that share the slots.
func startCluster(t *testing.T) string {
	t.Helper()
	if _, err := exec.LookPath("redis-cli"); err != nil {
		t.Skip("no redis-cli in PATH")
	}
	var nodes, urls []string
	for range 3 {
		// Nobody fails over here: a node that is slow for some seconds is not lost.
		r := startRedisWith(t, "--cluster-enabled", "yes", "--cluster-node-timeout", "60000", "--cluster-port",
			fmt.Sprint(testport.Free(t)))
		nodes, urls = append(nodes, fmt.Sprintf("127.0.0.1:%d", r.port)), append(urls, r.url())
	}
	args := append([]string{"--cluster", "create"}, nodes...)
	if out, err := exec.Command("redis-cli", append(args, "--cluster-yes")...).CombinedOutput(); err != nil {
		t.Fatalf("redis-cli --cluster create: %v\n%s", err, out)
	}
	until(t, "the cluster has all slots", func() bool {
		for _, n := range nodes {
			host, port, _ := strings.Cut(n, ":")
			out, err := exec.Command("redis-cli", "-h", host, "-p", port, "cluster", "info").CombinedOutput()
			if err != nil || !strings.Contains(string(out), "cluster_state:ok") {
				return false
			}
		}
		return true
	})
	return strings.Join(urls, ",")
}

// The whole story on a Redis Cluster of three masters, with several trips, so
// that they lie on different nodes.
func TestStoryOnACluster(t *testing.T) {
	urls := startCluster(t)
	api := standin.New(t)
	b := startBot(t, nil, api, webhook("GASMUSTER_REDIS_URL="+urls)...)
	m := busyMorning(t, b, api, 6, 3)
	for _, tr := range m.trips {
		announce(t, b, tr)
	}
	for _, d := range m.divers {
		d.user.Start(d.code)
		d.user.Send(d.text())
	}
	if !api.Settled() || !api.Wait(m.arrived) {
		t.Fatalf("%d updates never acknowledged, or an answer never came", api.Pending())
	}
	s := m.count(b, api)
	t.Logf("cluster of three masters: %v", s)
	if s.repeated > 0 {
		t.Errorf("%d messages were repeated", s.repeated)
	}
}
