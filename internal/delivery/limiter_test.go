package delivery_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// limiter is a strict sliding window by hand: a place is free again one period
// after it was released.
type limiter struct {
	mu     sync.Mutex
	busy   map[string][]*place
	paused map[string]time.Time
	err    error
	took   time.Duration // by asking for a place
	taken  int
}

type place struct {
	id   string
	free time.Time // zero while the answer is awaited
}

func (l *limiter) Take(ctx context.Context, bucket string, limit int, period time.Duration,
	now time.Time) (time.Duration, string, error) {
	w := roster.Window{Bucket: bucket, Most: limit, Period: period}
	p, err := l.TakeAll(ctx, 0, []roster.Window{w}, now)
	return p.Wait, p.Slot, err
}

func (l *limiter) TakeAll(_ context.Context, _ roster.Level, windows []roster.Window,
	now time.Time) (roster.Place, error) {
	time.Sleep(l.took)
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.err != nil {
		return roster.Place{}, l.err
	}
	for i, w := range windows {
		if wait := l.wait(w, now); wait > 0 {
			return roster.Place{Wait: wait, Full: i}, nil
		}
	}
	l.taken++
	id := fmt.Sprint("slot", l.taken)
	for _, w := range windows {
		l.busy[w.Bucket] = append(l.busy[w.Bucket], &place{id: id})
	}
	return roster.Place{Slot: id}, nil
}

func (l *limiter) wait(w roster.Window, now time.Time) time.Duration {
	if until := l.paused[w.Bucket]; now.Before(until) {
		return until.Sub(now)
	}
	l.busy[w.Bucket] = slices.DeleteFunc(l.busy[w.Bucket],
		func(p *place) bool { return !p.free.IsZero() && !now.Before(p.free) })
	if len(l.busy[w.Bucket]) < w.Most {
		return 0
	}
	wait := w.Period
	for _, p := range l.busy[w.Bucket] {
		if !p.free.IsZero() {
			wait = min(wait, p.free.Sub(now))
		}
	}
	return wait
}

func (l *limiter) Release(ctx context.Context, bucket, id string, period time.Duration, now time.Time) error {
	return l.ReleaseAll(ctx, []roster.Window{{Bucket: bucket, Period: period}}, id, now)
}

func (l *limiter) ReleaseAll(_ context.Context, windows []roster.Window, id string, now time.Time) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, w := range windows {
		for _, p := range l.busy[w.Bucket] {
			if p.id == id {
				p.free = now.Add(w.Period)
			}
		}
	}
	return l.err
}

func (l *limiter) Pause(_ context.Context, bucket string, until time.Time) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.paused == nil {
		l.paused = map[string]time.Time{}
	}
	l.paused[bucket] = until
	return l.err
}

func TestChannelsLimits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		limit := delivery.Limit{PerBot: 5, BotPeriod: time.Second, PerChat: 2, ChatPeriod: 2 * time.Second}
		r := work(t, func(c *delivery.PostmanConfig) {
			c.Limiter, c.Limits = &limiter{busy: map[string][]*place{}}, map[string]delivery.Limit{"telegram": limit}
		})
		for i := range 60 {
			r.outbox.put(envelope(fmt.Sprintf("e%02d", i), fmt.Sprint(i%12)))
		}
		r.run(t, 2*time.Minute)
		if got := len(r.sender.sends); got != 60 {
			t.Fatalf("%d of 60 sent", got)
		}
		byChat := map[string][]send{"": r.sender.sends}
		for _, s := range r.sender.sends {
			byChat[s.to] = append(byChat[s.to], s)
		}
		for to, sends := range byChat {
			n, period := limit.PerChat, limit.ChatPeriod
			if to == "" {
				n, period = limit.PerBot, limit.BotPeriod
			}
			for i := n; i < len(sends); i++ {
				if d := sends[i].at - sends[i-n].at; d < period {
					t.Errorf("chat %q: %d sends within %v, want at most %d in %v", to, n+1, d, n, period)
				}
			}
		}
		if last := r.sender.sends[59].at; last > 30*time.Second {
			t.Errorf("took %v for what the limit lets through in 12 s", last)
		}
	})
}

func TestLimiterThatFailsSendsNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &limiter{err: errors.New("store is down")}
		r := work(t, func(c *delivery.PostmanConfig) {
			c.Limiter, c.Limits = l, map[string]delivery.Limit{"telegram": delivery.TelegramLimit}
		})
		r.outbox.put(envelope("e1", "200"))
		r.run(t, 3*time.Second)
		if got := r.sender.ids(); len(got) != 0 {
			t.Errorf("sent %v without knowing the limit", got)
		}
	})
}
