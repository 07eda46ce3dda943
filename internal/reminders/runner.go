package reminders

import (
	"context"
	"fmt"
	"log/slog"
	"maps"
	"runtime/debug"
	"sync"
	"time"

	"github.com/robfig/cron/v3"

	"gasmuster/internal/roster"
)

// Port is what the runner needs: which trips are due, and to wake one. Wake
// loads the trip, decides, and commits the letters together with the trip's
// next wake-up; a trip that another process woke meanwhile is no error.
type Port interface {
	Due(ctx context.Context, now time.Time, max int) ([]roster.TripID, error)
	Wake(ctx context.Context, id roster.TripID) error
}

// Runner asks for due trips at a steady beat and wakes them. Any number of
// runners may share a store: what was sent is committed with the trip.
// The zero values of Every, Batch, Log and Now are a second, 100, the default
// logger and the system's clock.
type Runner struct {
	Port  Port
	Log   *slog.Logger
	Now   func() time.Time
	Every time.Duration
	Batch int

	cron   *cron.Cron
	cancel context.CancelFunc

	mu      sync.Mutex
	failing map[roster.TripID]failure
}

// failure is a trip that could not be woken: it is left alone for a while,
// longer each time, so that it does not keep others waiting.
type failure struct {
	times int
	until time.Time
}

const (
	firstPause   = 2 * time.Second
	longestPause = 5 * time.Minute
)

// Start starts the beat. It panics when called twice without Stop.
func (r *Runner) Start() {
	if r.cron != nil {
		panic("reminders: runner started twice")
	}
	r.defaults()
	ctx, cancel := context.WithCancel(context.Background())
	r.cancel = cancel
	log := cronLog{r.Log}
	// Recover innermost: outside of SkipIfStillRunning, one panic would keep
	// the beat's "still running" mark for ever.
	r.cron = cron.New(cron.WithLocation(time.UTC), cron.WithLogger(log),
		cron.WithChain(cron.SkipIfStillRunning(log), cron.Recover(log)))
	r.cron.Schedule(cron.ConstantDelaySchedule{Delay: r.Every}, cron.FuncJob(func() { r.Beat(ctx) }))
	r.cron.Start()
}

func (r *Runner) defaults() {
	if r.Every <= 0 {
		r.Every = time.Second
	}
	if r.Batch <= 0 {
		r.Batch = 100
	}
	if r.Log == nil {
		r.Log = slog.Default()
	}
	if r.Now == nil {
		r.Now = time.Now
	}
	if r.failing == nil {
		r.failing = map[roster.TripID]failure{}
	}
}

// Stop ends the beat and waits for the one that is running, at most until ctx
// is done: then that beat's context is cancelled and ctx's error returned.
func (r *Runner) Stop(ctx context.Context) error {
	if r.cron == nil {
		return nil
	}
	done := r.cron.Stop()
	r.cron = nil
	defer r.cancel()
	select {
	case <-done.Done():
		return nil
	case <-ctx.Done():
		r.cancel()
		return fmt.Errorf("reminders: stopping: %w", ctx.Err())
	}
}

// Beat wakes every trip that is due now, once.
func (r *Runner) Beat(ctx context.Context) {
	r.defaults()
	seen := map[roster.TripID]bool{}
	for ctx.Err() == nil {
		due, err := r.Port.Due(ctx, r.Now(), r.Batch+len(seen)+r.paused())
		if err != nil {
			r.Log.Error("reminders: due trips not read", "error", err)
			return
		}
		fresh := 0
		for _, id := range due {
			if seen[id] || ctx.Err() != nil {
				continue
			}
			seen[id] = true
			fresh++
			r.wake(ctx, id)
		}
		if fresh < r.Batch {
			return
		}
	}
}

// paused counts the trips that are left alone for now, and forgets those that
// have not come up for long: erased, or woken by another process.
func (r *Runner) paused() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	long := r.Now().Add(-longestPause)
	maps.DeleteFunc(r.failing, func(_ roster.TripID, f failure) bool { return f.until.Before(long) })
	return len(r.failing)
}

func (r *Runner) wake(ctx context.Context, id roster.TripID) {
	r.mu.Lock()
	f := r.failing[id]
	r.mu.Unlock()
	if wait := f.until.Sub(r.Now()); wait > 0 && wait <= longestPause { // longer: the clock was set back
		return
	}
	err := r.safely(ctx, id)
	r.mu.Lock()
	defer r.mu.Unlock()
	if err == nil || ctx.Err() != nil {
		delete(r.failing, id)
		return
	}
	f.times++
	f.until = r.Now().Add(min(firstPause<<min(f.times-1, 10), longestPause))
	r.failing[id] = f
	r.Log.Error("reminders: trip not woken", "trip", id, "times", f.times, "error", err)
}

// safely turns a panic over one trip into an error, so that the others are
// woken all the same.
func (r *Runner) safely(ctx context.Context, id roster.TripID) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return r.Port.Wake(ctx, id)
}

// cronLog writes the library's log lines to ours. Its "wake" and "run" lines
// say nothing that anybody needs.
type cronLog struct{ *slog.Logger }

func (l cronLog) Info(string, ...any) {}

func (l cronLog) Error(err error, msg string, kv ...any) {
	l.Logger.Error("reminders: "+msg, append([]any{"error", err}, kv...)...)
}
