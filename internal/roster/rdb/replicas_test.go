package rdb_test

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// waiting is a client whose writes wait for so many replicas.
func waiting(t *testing.T, url string, replicas int) redis.UniversalClient {
	o, err := rdb.Options(url)
	must(t, err)
	c := rdb.Connect(o, replicas)
	t.Cleanup(func() { c.Close() })
	return c
}

func (p *process) addr() string { return "127.0.0.1:" + p.port }

// replicaOf starts a server that follows another.
func replicaOf(t *testing.T, master *process) *process {
	p := newProcess(t, "--replicaof", "127.0.0.1 "+master.port)
	p.launch(t)
	t.Cleanup(p.end)
	p.follows(t)
	return p
}

// follows waits until a replica has caught up with its master, by its own account.
// The master counts it from its next word on, a second later at the latest.
func (p *process) follows(t *testing.T) {
	c := redis.NewClient(&redis.Options{Addr: p.addr()})
	defer c.Close()
	eventually(t, "the replica to follow", func() bool {
		info, err := c.Info(t.Context(), "replication").Result()
		return err == nil && strings.Contains(info, "master_link_status:up")
	})
}

// insist tries again what a slow machine's replicas had not received in time.
func insist[T any](t *testing.T, what string, try func() (T, error)) (got T) {
	t.Helper()
	eventually(t, what, func() bool {
		var err error
		if got, err = try(); err != nil && !errors.Is(err, rdb.ErrTooFewReplicas) {
			t.Fatalf("%s: %v", what, err)
		}
		return err == nil
	})
	return got
}

// Without enough replicas nothing is answered as stored: not a commit, not its
// repetition, not what was said to somebody. Boards can still be read, and soon after
// the replica is back the same commit is.
func TestNothingIsAcknowledgedWithoutReplicas(t *testing.T) {
	master := own(t)
	replica := replicaOf(t, master)
	c := waiting(t, "redis://"+master.addr(), 1)
	s := rdb.New(c)
	first := commitOf(newTrip("aaaaaaaaaa"))
	trip := insist(t, "a new trip", func() (*roster.Trip, error) { return s.Commit(t.Context(), first) })
	must(t, replica.cmd.Process.Kill())
	_ = replica.cmd.Wait()

	commit := commitOf(trip, rename("Sunday"), token("tok"), source("tg:7"), out(envelope("a", "p2", roster.LevelVerdict)))
	short := func(what string, err error) {
		t.Helper()
		if !errors.Is(err, rdb.ErrTooFewReplicas) {
			t.Errorf("%s: %v, want that too few replicas have it", what, err)
		}
	}
	_, err := s.Commit(t.Context(), commit)
	short("a commit", err)
	_, err = rdb.New(waiting(t, "redis://"+master.addr(), 1)).Commit(t.Context(), commit)
	short("the same once more, by another connection", err)
	other := commit
	other.Token = "another"
	_, err = rdb.New(waiting(t, "redis://"+master.addr(), 1)).Commit(t.Context(), other)
	short("its event once more, by another connection", err)
	short("a seat", s.Addresses().Seat(t.Context(), roster.Address{Channel: "telegram", ID: "1"},
		roster.Seat{Trip: trip.ID, Person: "p2", Departs: departs}))
	_, err = s.Outbox().Claim(t.Context(), roster.NewToken(), departs, time.Minute, 5, nil)
	short("a letter to send", err)
	if l, err := s.Load(t.Context(), trip.ID, ""); err != nil || l.Trip == nil {
		t.Errorf("the trip can't be looked at: %v", err)
	}
	must(t, s.Ping(t.Context()))
	if missing := rdb.MissingReplicas(t.Context(), c, 1); !strings.Contains(missing, "0 replicas") {
		t.Errorf("missing: %q", missing)
	}

	replica.launch(t)
	replica.follows(t)
	insist(t, "the same commit, with the replica back",
		func() (*roster.Trip, error) { return s.Commit(t.Context(), commit) })
	now := departs
	got := insist(t, "the letter, with the replica back", func() ([]roster.Claimed, error) {
		now = now.Add(2 * time.Second) // what was taken in vain is put back for one
		return s.Outbox().Claim(t.Context(), roster.NewToken(), now, time.Minute, 5, nil)
	})
	if len(got) != 1 || got[0].Attempts != 1 || got[0].Unsure {
		t.Errorf("the letter: %+v; want it for the first time", got)
	}
	if missing := rdb.MissingReplicas(t.Context(), c, 1); missing != "" {
		t.Errorf("missing: %q", missing)
	}
}

// guarded is a master with two replicas and three sentinels.
type guarded struct {
	master    *process
	sentinels []string
}

func guard(t *testing.T) *guarded {
	g := &guarded{master: own(t)}
	replicaOf(t, g.master)
	replicaOf(t, g.master)
	for range 3 {
		p := newProcess(t)
		conf := fmt.Sprintf("port %s\nbind 127.0.0.1\ndir %s\nsentinel monitor boats 127.0.0.1 %s 2\n"+
			"sentinel down-after-milliseconds boats 1000\nsentinel failover-timeout boats 5000\n", p.port, p.dir, g.master.port)
		p.sentinel(t, conf)
		t.Cleanup(p.end)
		g.sentinels = append(g.sentinels, p.addr())
	}
	for _, addr := range g.sentinels {
		c := redis.NewSentinelClient(&redis.Options{Addr: addr})
		defer c.Close()
		eventually(t, "the sentinels to know each other and the replicas", func() bool {
			m, err := c.Master(t.Context(), "boats").Result()
			return err == nil && m["num-other-sentinels"] == "2" && m["num-slaves"] == "2"
		})
	}
	return g
}

func (g *guarded) url() string {
	return "redis://" + g.sentinels[0] + "/0?master=boats," + strings.Join(g.sentinels[1:], ",")
}

// A master that sentinels guard is killed for good in the middle of a busy morning,
// and one of a cluster.
func TestALostMasterTakesNothingAcknowledgedAlong(t *testing.T) {
	t.Run("sentinels", func(t *testing.T) {
		g := guard(t)
		busyMorning(t, waiting(t, g.url(), 1), g.master)
	})
	t.Run("cluster", func(t *testing.T) {
		m := withReplicas(t)
		busyMorning(t, waiting(t, m.url(), 1), m.nodes[0])
	})
}

// boat is a trip on which one reading comes after the other.
type boat struct {
	trip    *roster.Trip
	acked   []string // ids of events
	longest time.Duration
	count   atomic.Int64 // of those acknowledged since it was set back
}

// busyMorning has twenty boats report, kills a server on the way, and looks whether
// all that was acknowledged is there.
func busyMorning(t *testing.T, c redis.UniversalClient, victim *process) {
	s := rdb.New(c)
	var boats []*boat
	for i := range 20 {
		first := commitOf(newTrip(roster.TripID(fmt.Sprintf("boat%c12345", 'a'+i))))
		boats = append(boats, &boat{trip: insist(t, "a new trip",
			func() (*roster.Trip, error) { return s.Commit(t.Context(), first) })})
	}
	ctx, cancel := context.WithCancel(t.Context())
	var all sync.WaitGroup
	for i, b := range boats {
		all.Go(func() {
			for n := 0; ctx.Err() == nil; n++ {
				began := time.Now()
				b.report(ctx, s, fmt.Sprintf("tg:%d:%d", i, n))
				b.longest = max(b.longest, time.Since(began))
			}
		})
	}
	eventually(t, "a busy morning", heard(boats, 15))
	victim.crash()
	killed := time.Now()
	for _, b := range boats {
		b.count.Store(0)
	}
	eventually(t, "every boat to be heard again", heard(boats, 15))
	back := time.Since(killed)
	cancel()
	all.Wait()
	lost, total, longest := 0, 0, time.Duration(0)
	for _, b := range boats {
		total, longest = total+len(b.acked), max(longest, b.longest)
		for _, source := range b.acked {
			var l roster.Loaded
			eventually(t, "the trip to be read", func() (ok bool) {
				var err error
				l, err = s.Load(t.Context(), b.trip.ID, source)
				return err == nil
			})
			if !l.Seen {
				lost++
				t.Errorf("%s of %s was acknowledged and is gone", source, b.trip.ID)
			}
		}
	}
	t.Logf("%d acknowledged, %d of them lost; the longest wait was %v, every boat was heard fifteen times by %v after "+
		"the kill",
		total, lost, longest.Round(time.Millisecond), back.Round(time.Millisecond))
}

// heard tells whether each boat had that many reports acknowledged.
func heard(boats []*boat, times int64) func() bool {
	return func() bool {
		return !slices.ContainsFunc(boats, func(b *boat) bool { return b.count.Load() < times })
	}
}

// report says one thing until it is acknowledged, as Telegram delivers again.
func (b *boat) report(ctx context.Context, s *rdb.Store, id string) {
	for ctx.Err() == nil {
		l, err := s.Load(ctx, b.trip.ID, id)
		if err != nil {
			pause(ctx, 50*time.Millisecond)
			continue
		}
		next, err := s.Commit(ctx, commitOf(l.Trip, rename(id), token(roster.NewToken()), source(id),
			out(envelope(id, "p2", roster.LevelVerdict))))
		if errors.Is(err, roster.ErrDuplicate) {
			next, err = l.Trip, nil
		}
		if err == nil {
			b.trip, b.acked = next, append(b.acked, id)
			b.count.Add(1)
			return
		}
		pause(ctx, 50*time.Millisecond)
	}
}

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// withReplicas are three masters of a cluster, each with two replicas: one that
// becomes a master, and one that follows it then.
func withReplicas(t *testing.T) *masters {
	if _, err := exec.LookPath("redis-cli"); err != nil {
		t.Skip("no redis-cli in PATH: not tested on a cluster with replicas")
	}
	m := &masters{}
	var addresses []string
	for range 9 {
		p := newProcess(t, "--cluster-enabled", "yes", "--cluster-announce-ip", "127.0.0.1", "--cluster-port", freePort(t),
			"--cluster-node-timeout", "2000")
		p.launch(t)
		t.Cleanup(p.end)
		m.nodes = append(m.nodes, p)
		addresses = append(addresses, p.addr())
	}
	out, err := exec.Command("redis-cli", append(append([]string{"--cluster", "create"}, addresses...),
		"--cluster-replicas", "2", "--cluster-yes")...).CombinedOutput()
	if err != nil {
		t.Fatalf("join the cluster: %v\n%s", err, out)
	}
	for _, p := range m.nodes {
		eventually(t, "every node to know all slots", func() bool { return p.clusterKnows(t.Context(), 9) })
	}
	for _, p := range m.nodes[3:] {
		p.follows(t)
	}
	return m
}
