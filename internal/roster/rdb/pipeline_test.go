package rdb_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// gate counts pipelines and holds them until it is opened.
type gate struct {
	redis.Hook
	held, sent atomic.Int64 // commands, pipelines
	open       chan struct{}
}

func (g *gate) DialHook(next redis.DialHook) redis.DialHook          { return next }
func (g *gate) ProcessHook(next redis.ProcessHook) redis.ProcessHook { return next }
func (g *gate) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return func(ctx context.Context, cmds []redis.Cmder) error {
		g.held.Add(int64(len(cmds)))
		<-g.open
		g.sent.Add(1)
		return next(ctx, cmds)
	}
}

// Commits that wait share pipelines, and each gets its own answer.
func TestCommitsTravelTogether(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		const n = 60
		s := rdb.New(srv.client)
		var trips []*roster.Trip
		for i := range n {
			trips = append(trips, create(t, s, roster.TripID(fmt.Sprintf("aaaaaaaa%c%c", 'a'+i/26, 'a'+i%26))))
		}
		mustCommit(t, s, trips[7], source("tg:7")) // the one we have is stale from here on

		g := &gate{open: make(chan struct{})}
		if _, single := srv.client.(*redis.Client); single {
			srv.client.AddHook(g)
		} else {
			close(g.open) // a cluster's client calls a hook once for all and once for each server: only answers are looked at
		}
		errs := make([]error, n)
		var all sync.WaitGroup
		for i := range n {
			all.Go(func() { _, errs[i] = s.Commit(t.Context(), commitOf(trips[i], source(fmt.Sprint("tg:n", i)))) })
		}
		if _, single := srv.client.(*redis.Client); single {
			eventually(t, "all to wait", func() bool { return s.Gathered()+int(g.held.Load()) == n })
			close(g.open)
		}
		all.Wait()
		for i, err := range errs {
			if i == 7 && !errors.Is(err, roster.ErrConflict) || i != 7 && err != nil {
				t.Errorf("commit %d: %v", i, err)
			}
		}
		if _, single := srv.client.(*redis.Client); single && g.sent.Load() > n/4 {
			t.Errorf("%d commits took %d pipelines", n, g.sent.Load())
		}
	})
}

// A caller whose time is up does not wait for the others, and can't tell.
func TestCommitThatCannotWait(t *testing.T) {
	srv := embedded(t)
	s := rdb.New(srv.client)
	trip := create(t, s, "aaaaaaaaaa")
	g := &gate{open: make(chan struct{})}
	srv.client.AddHook(g)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	_, err := s.Commit(ctx, commitOf(trip))
	close(g.open)
	if !errors.Is(err, context.DeadlineExceeded) || slices.Contains([]error{roster.ErrConflict, roster.ErrDuplicate},
		err) {
		t.Errorf("got %v, want the end of its time", err)
	}
}
