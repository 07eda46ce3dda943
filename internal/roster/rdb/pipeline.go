package rdb

import (
	"context"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/workers"
)

// Commits that wait at the same moment travel in one pipeline: while some are
// under way, those that come meanwhile gather and go next. Nobody waits for
// company. With fsync always one sync then serves them all.
//
// The driver's own automatic pipelining does the same, but is declared
// experimental and leaves a caller's deadline out of account.

const (
	underWay   = 2  // pipelines at a time: one is written while another is answered
	inPipeline = 64 // commits, about 5 KB each
	// pipelineTime bounds a pipeline with the driver's repetitions. It is not a
	// caller's, since it carries the commits of many.
	pipelineTime = 15 * time.Second
)

// pipeline runs one script for callers that come at the same moment.
type pipeline struct {
	c          redis.UniversalClient
	text, hash string // of the script
	workers    *workers.Pool

	mu      sync.Mutex
	waiting []*call
	busy    int // pipelines under way
}

func newPipeline(c redis.UniversalClient, text string) *pipeline {
	return &pipeline{c: c, text: text, hash: redis.NewScript(text).Hash(), workers: workers.New()}
}

// call is one call of the script.
type call struct {
	args   []any // two places for the command, how many keys, keys, arguments
	answer string
	err    error
	done   chan struct{}
}

// run calls the script and returns its answer; args are those of a call.
// When ctx ends first it is not known whether it ran.
func (g *pipeline) run(ctx context.Context, args []any) (string, error) {
	p := &call{args: args, done: make(chan struct{})}
	g.join(p)
	select {
	case <-p.done:
		return p.answer, p.err
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

func (g *pipeline) join(p *call) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.waiting = append(g.waiting, p)
	if g.busy < underWay {
		g.busy++
		g.workers.Go(g.carry)
	}
}

// carry sends pipelines until nobody waits.
func (g *pipeline) carry() {
	for {
		batch := g.next()
		if batch == nil {
			return
		}
		g.send(batch)
		for _, p := range batch {
			close(p.done)
		}
	}
}

func (g *pipeline) next() []*call {
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.waiting) == 0 {
		g.busy--
		return nil
	}
	n := min(len(g.waiting), inPipeline)
	batch := g.waiting[:n:n]
	g.waiting = g.waiting[n:]
	if len(g.waiting) == 0 {
		g.waiting = nil // the array goes with the batch
	}
	return batch
}

// send runs one pipeline. A server that does not know the script gets its text:
// inside a pipeline nothing falls back to it by itself.
func (g *pipeline) send(batch []*call) {
	ctx, cancel := context.WithTimeout(context.Background(), pipelineTime)
	defer cancel()
	g.write(ctx, batch, "evalsha", g.hash)
	var again []*call
	for _, p := range batch {
		if redis.HasErrorPrefix(p.err, "NOSCRIPT") {
			again = append(again, p)
		}
	}
	if len(again) > 0 {
		g.write(ctx, again, "eval", g.text)
	}
}

func (g *pipeline) write(ctx context.Context, batch []*call, how, script string) {
	pipe := g.c.Pipeline()
	cmds := make([]*redis.Cmd, len(batch))
	for i, p := range batch {
		p.args[0], p.args[1] = how, script
		cmds[i] = pipe.Do(ctx, p.args...)
	}
	_, _ = pipe.Exec(ctx) // each command has its own error
	for i, p := range batch {
		p.answer, p.err = cmds[i].Text()
	}
}
