package reminders

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// port is a store of wake-ups in memory.
type port struct {
	mu    sync.Mutex
	due   map[roster.TripID]time.Time
	woken []roster.TripID
	wake  func(roster.TripID) error
	down  bool
}

func (p *port) Due(_ context.Context, now time.Time, max int) ([]roster.TripID, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.down {
		return nil, errors.New("store is down")
	}
	var ids []roster.TripID
	for id, at := range p.due {
		if !at.After(now) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids[:min(max, len(ids))], nil
}

func (p *port) Wake(_ context.Context, id roster.TripID) error {
	if p.wake != nil {
		if err := p.wake(id); err != nil {
			return err
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.woken = append(p.woken, id)
	delete(p.due, id)
	return nil
}

func (p *port) got() []roster.TripID {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.woken)
}

func TestRunnerWakesWhenDue(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		p := &port{due: map[roster.TripID]time.Time{"a": start.Add(90 * time.Second), "b": start.Add(24 * time.Hour),
			"c": start}}
		r := &Runner{Port: p}
		r.Start()
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if diff := cmp.Diff([]roster.TripID{"c"}, p.got()); diff != "" {
			t.Errorf("at once; -want +got:\n%s", diff)
		}
		time.Sleep(90 * time.Second)
		synctest.Wait()
		if diff := cmp.Diff([]roster.TripID{"c", "a"}, p.got()); diff != "" {
			t.Errorf("after 92 s; -want +got:\n%s", diff)
		}
		if err := r.Stop(t.Context()); err != nil {
			t.Fatal(err)
		}
		time.Sleep(48 * time.Hour)
		if len(p.got()) != 2 {
			t.Errorf("woken after the stop: %v", p.got())
		}
	})
}

// One trip that fails, by error or panic, keeps no other waiting, is tried
// again ever more rarely, and comes through once the fault is gone.
func TestRunnerIsolatesFailures(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var mu sync.Mutex
		tries, broken := 0, true
		p := &port{due: map[roster.TripID]time.Time{"bad": {}, "good1": {}, "good2": {}, "wild": {}}}
		p.wake = func(id roster.TripID) error {
			mu.Lock()
			defer mu.Unlock()
			switch {
			case id == "wild" && broken:
				panic("wild")
			case id == "bad" && broken:
				tries++
				return errors.New("no trip")
			}
			return nil
		}
		var log bytes.Buffer
		r := &Runner{Port: p, Batch: 2, Log: slog.New(slog.NewTextHandler(&log, nil))}
		r.Start()
		time.Sleep(time.Hour)
		synctest.Wait()
		mu.Lock()
		if tries < 10 || tries > 30 {
			t.Errorf("%d tries in an hour, want some, and not one a second", tries)
		}
		broken = false
		mu.Unlock()
		if diff := cmp.Diff([]roster.TripID{"good1", "good2"}, p.got()); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
		time.Sleep(10 * time.Minute)
		if err := r.Stop(t.Context()); err != nil {
			t.Fatal(err)
		}
		if got := p.got(); len(got) != 4 {
			t.Errorf("woken %v, want all four", got)
		}
		if !strings.Contains(log.String(), "panic: wild") || !strings.Contains(log.String(), "trip=bad") {
			t.Errorf("log says nothing of it:\n%s", log.String())
		}
	})
}

func TestRunnerOutlivesTheStore(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &port{due: map[roster.TripID]time.Time{"a": {}}, down: true}
		r := &Runner{Port: p, Log: slog.New(slog.DiscardHandler)}
		r.Start()
		time.Sleep(time.Minute)
		p.mu.Lock()
		p.down = false
		p.mu.Unlock()
		time.Sleep(2 * time.Second)
		if err := r.Stop(t.Context()); err != nil {
			t.Fatal(err)
		}
		if len(p.got()) != 1 {
			t.Errorf("woken %v, want a", p.got())
		}
	})
}

// A beat that takes long is waited for, up to the context's end, and no second
// one starts beside it.
func TestRunnerStopWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		running, most := 0, 0
		p := &port{due: map[roster.TripID]time.Time{"a": {}, "b": {}}}
		p.wake = func(roster.TripID) error {
			running++
			most = max(most, running)
			time.Sleep(10 * time.Second)
			running--
			return nil
		}
		r := &Runner{Port: p, Log: slog.New(slog.DiscardHandler)}
		r.Start()
		time.Sleep(2 * time.Second)
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		if err := r.Stop(ctx); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("Stop = %v, want that time ran out", err)
		}
		time.Sleep(time.Minute)
		synctest.Wait()
		if most != 1 {
			t.Errorf("%d beats at once, want 1", most)
		}
		if got := p.got(); len(got) != 1 {
			t.Errorf("woken %v: want the one that was running finished, and no other begun", got)
		}
	})
}

func TestRunnerTakesAllThatIsDue(t *testing.T) {
	p := &port{due: map[roster.TripID]time.Time{}}
	for i := range 25 {
		p.due[roster.TripID(rune('a'+i))] = time.Time{}
	}
	r := &Runner{Port: p, Batch: 4}
	r.Beat(t.Context())
	if got := p.got(); len(got) != 25 {
		t.Errorf("woken %d in one beat, want 25", len(got))
	}
}

func TestRunnerStartsOnce(t *testing.T) {
	r := &Runner{Port: &port{}, Every: time.Hour}
	r.Start()
	defer r.Stop(t.Context())
	defer func() {
		if recover() == nil {
			t.Error("started twice without a word")
		}
	}()
	r.Start()
}
