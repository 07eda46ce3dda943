package rdb

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"
)

// ErrTooFewReplicas is that a write is on the master alone, or on too few replicas:
// it may be lost with the machine, so that it must not be acknowledged.
var ErrTooFewReplicas = errors.New("too few replicas have it")

// replicasWithin is how long a write waits for its replicas. The driver gives up an
// answer after three seconds.
const replicasWithin = time.Second

// lookAgain is how often the driver asks a cluster which masters it has. Its own
// minute would be waited for by everybody whose trips were on a lost master.
const lookAgain = 2 * time.Second

// Connect makes a client; see Open. With replicas over 0 a write has an answer only
// when that many replicas have received it, else ErrTooFewReplicas. It may be
// stored all the same: try it again. Nothing else of the store knows of replicas.
func Connect(o *redis.UniversalOptions, replicas int) redis.UniversalClient {
	hooked := func(c *redis.Client) *redis.Client {
		if replicas > 0 {
			c.AddHook(waits{c, replicas})
		}
		return c
	}
	switch {
	case o.MasterName != "":
		return hooked(redis.NewFailoverClient(o.Failover()))
	case len(o.Addrs) > 1:
		cluster := o.Cluster()
		cluster.ClusterStateReloadInterval = lookAgain
		// Of each master: a wait is for what its own connection wrote.
		cluster.NewClient = func(node *redis.Options) *redis.Client { return hooked(redis.NewClient(node)) }
		return redis.NewClusterClient(cluster)
	}
	return hooked(redis.NewClient(o.Simple()))
}

// waits follows writes with WAIT, on the connection that wrote.
type waits struct {
	c        *redis.Client
	replicas int
}

func (w waits) DialHook(next redis.DialHook) redis.DialHook { return next }

// ProcessHook makes a pipeline of one write.
func (w waits) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		if !w.concerned(ctx, cmd) {
			return next(ctx, cmd)
		}
		pipe := w.c.Pipeline()
		_ = pipe.Process(ctx, cmd)
		_, _ = pipe.Exec(ctx)
		return cmd.Err()
	}
}

func (w waits) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return func(ctx context.Context, cmds []redis.Cmder) error {
		if !slices.ContainsFunc(cmds, func(cmd redis.Cmder) bool { return w.concerned(ctx, cmd) }) {
			return next(ctx, cmds)
		}
		wait := redis.NewIntCmd(ctx, "wait", w.replicas, replicasWithin.Milliseconds())
		err := next(ctx, append(slices.Clone(cmds), wait))
		if wait.Err() == nil && wait.Val() >= int64(w.replicas) {
			return err
		}
		for _, cmd := range cmds {
			if cmd.Err() == nil && w.concerned(ctx, cmd) {
				cmd.SetErr(fmt.Errorf("%w: %d of %d within %v", ErrTooFewReplicas, wait.Val(), w.replicas, replicasWithin))
			}
		}
		return errors.Join(err, ErrTooFewReplicas)
	}
}

// concerned tells whether a command's answer has to wait: whatever may write.
func (w waits) concerned(ctx context.Context, cmd redis.Cmder) bool {
	return ctx.Value(hasty{}) == nil && !reads[cmd.Name()]
}

// hasty marks what needs no replica: what is only looked at, or can be lost with a
// machine because it is made anew or said again.
type hasty struct{}

func hastily(ctx context.Context) context.Context { return context.WithValue(ctx, hasty{}, true) }

// reads are the commands that only read, and those of the driver itself. Whatever
// is missing here is waited for.
var reads = func() map[string]bool {
	m := map[string]bool{}
	for name := range strings.FieldsSeq("get mget hget hgetall hmget hlen hkeys hvals hexists llen lrange zrange " +
		"zrangebyscore zrevrangebyscore zcard zscore zmscore keys scan exists ttl pttl ping config info cluster command " +
		"hello auth select client script asking readonly readwrite sentinel wait") {
		m[name] = true
	}
	return m
}()

// MissingReplicas says, when a master has fewer replicas than writes wait for, that
// nothing can be recorded; "" when all is well or the server does not tell.
func MissingReplicas(ctx context.Context, c redis.UniversalClient, want int) string {
	var mu sync.Mutex
	least := want
	count := func(ctx context.Context, c *redis.Client) error {
		info, err := c.Info(ctx, "replication").Result()
		_, rest, found := strings.Cut(info, "connected_slaves:")
		number, _, _ := strings.Cut(rest, "\r")
		n, wrong := strconv.Atoi(number)
		if err == nil && found && wrong == nil {
			mu.Lock()
			defer mu.Unlock()
			least = min(least, n)
		}
		return nil
	}
	switch c := c.(type) {
	case *redis.ClusterClient:
		_ = c.ForEachMaster(ctx, count)
	case *redis.Client:
		_ = count(ctx, c)
	}
	if least < want {
		return fmt.Sprintf("a master has %d replicas and writes wait for %d: nothing is recorded until that many are "+
			"connected", least, want)
	}
	return ""
}
