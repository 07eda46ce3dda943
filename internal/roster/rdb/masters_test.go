package rdb_test

import (
	"context"
	"fmt"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// masters are three servers that share the slots of one cluster: what belongs
// together has to lie on one of them, and what is looked for in all buckets has
// to be looked for on each.
type masters struct {
	nodes []*process
}

// startMasters starts them and joins them.
func startMasters(t testing.TB) *masters {
	if _, err := exec.LookPath("redis-cli"); err != nil {
		t.Skip("no redis-cli in PATH: not tested on a cluster of three masters")
	}
	m := &masters{}
	var addresses []string
	for range 3 {
		p := newProcess(t, "--cluster-enabled", "yes", "--cluster-announce-ip", "127.0.0.1", "--cluster-port", freePort(t),
			"--cluster-node-timeout", "60000")
		p.launch(t)
		m.nodes = append(m.nodes, p)
		addresses = append(addresses, "127.0.0.1:"+p.port)
	}
	out, err := exec.Command("redis-cli", append(append([]string{"--cluster", "create"}, addresses...),
		"--cluster-yes")...).CombinedOutput()
	if err != nil {
		t.Fatalf("join the masters: %v\n%s", err, out)
	}
	for _, p := range m.nodes {
		eventually(t, "every master to know all slots", func() bool { return p.clusterKnows(t.Context(), 3) })
	}
	return m
}

func (p *process) clusterKnows(ctx context.Context, nodes int) bool {
	c := redis.NewClient(&redis.Options{Addr: "127.0.0.1:" + p.port})
	defer c.Close()
	info, err := c.ClusterInfo(ctx).Result()
	return err == nil && strings.Contains(info, "cluster_state:ok") &&
		strings.Contains(info, fmt.Sprintf("cluster_known_nodes:%d\r", nodes))
}

func (m *masters) client(t testing.TB) redis.UniversalClient { return open(t, m.url()) }

func (m *masters) url() string {
	var urls []string
	for _, p := range m.nodes {
		urls = append(urls, "redis://127.0.0.1:"+p.port)
	}
	return strings.Join(urls, ",")
}

func (m *masters) stop() {
	for _, p := range m.nodes {
		p.stop()
	}
}

// eachMaster runs something on every server that a client knows; on the only
// one when that is no cluster.
func eachMaster(ctx context.Context, c redis.UniversalClient,
	do func(context.Context, redis.UniversalClient) error) error {
	cluster, ok := c.(*redis.ClusterClient)
	if !ok {
		return do(ctx, c)
	}
	return cluster.ForEachMaster(ctx, func(ctx context.Context, node *redis.Client) error { return do(ctx, node) })
}

// flush empties every server.
func flush(t testing.TB, c redis.UniversalClient) {
	t.Helper()
	must(t, eachMaster(t.Context(), c, func(ctx context.Context,
		node redis.UniversalClient) error {
		return node.FlushAll(ctx).Err()
	}))
}

// allKeys are the keys of every server.
func allKeys(t testing.TB, c redis.UniversalClient) []string {
	t.Helper()
	var mu sync.Mutex
	var all []string
	must(t, eachMaster(t.Context(), c, func(ctx context.Context, node redis.UniversalClient) error {
		keys, err := node.Keys(ctx, "*").Result()
		mu.Lock()
		defer mu.Unlock()
		all = append(all, keys...)
		return err
	}))
	return all
}

// What is stored does lie on all three: else the tests on them prove nothing.
func TestTripsLieOnEveryMaster(t *testing.T) {
	srv := shared(t, "three masters")
	s := rdb.New(srv.client)
	for i := range 64 {
		create(t, s, roster.TripID(fmt.Sprintf("aaaaaaaa%c%c", 'a'+i/26, 'a'+i%26)))
	}
	var mu sync.Mutex
	var counts []int
	must(t, eachMaster(t.Context(), srv.client, func(ctx context.Context, node redis.UniversalClient) error {
		keys, err := node.Keys(ctx, "*:trip:*").Result()
		mu.Lock()
		defer mu.Unlock()
		counts = append(counts, len(keys))
		return err
	}))
	total := 0
	for _, n := range counts {
		total += n
		if n == 0 {
			t.Errorf("trips by master: %v, want some on each", counts)
		}
	}
	if len(counts) != 3 || total != 64 {
		t.Errorf("trips by master: %v, want 64 on three", counts)
	}
	t.Logf("64 trips by master: %v", counts)
}
