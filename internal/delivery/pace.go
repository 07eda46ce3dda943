package delivery

import (
	"context"
	"time"

	"gasmuster/internal/roster"
)

// pacer keeps sends within a channel's limits. The budget is shared by all
// processes through the store.
type pacer struct {
	limiter roster.Limiter
	limits  map[string]Limit
	now     func() time.Time
}

// slot is one taken place of one window, to be released when the answer is in.
type slot struct {
	bucket, id string
	period     time.Duration
}

func chatBucket(a roster.Address) string { return "chat:" + a.Channel + ":" + a.ID }
func botBucket(a roster.Address) string  { return "bot:" + a.Channel }
func (p pacer) unlimited(channel string) bool {
	_, limited := p.limits[channel]
	return p.limiter == nil || !limited
}

// take asks for one send to a. A chat that has had its share gives the wait
// back, so that others are served meanwhile; the bot's own budget is waited
// for here, since everybody needs it, for at most a few periods.
func (p pacer) take(ctx context.Context, a roster.Address) (wait time.Duration, slots []slot, err error) {
	if p.unlimited(a.Channel) {
		return 0, nil, nil
	}
	l := p.limits[a.Channel]
	wait, id, err := p.limiter.Take(ctx, chatBucket(a), l.PerChat, l.ChatPeriod, p.now())
	if err != nil || wait > 0 {
		return wait, nil, err
	}
	slots = []slot{{chatBucket(a), id, l.ChatPeriod}}
	wait, id, err = p.takeBot(ctx, a, l)
	if err != nil || wait > 0 {
		p.release(context.WithoutCancel(ctx), slots)
		return wait, nil, err
	}
	return 0, append(slots, slot{botBucket(a), id, l.BotPeriod}), nil
}

func (p pacer) takeBot(ctx context.Context, a roster.Address, l Limit) (time.Duration, string, error) {
	patience := p.now().Add(3 * l.BotPeriod)
	for {
		wait, id, err := p.limiter.Take(ctx, botBucket(a), l.PerBot, l.BotPeriod, p.now())
		if err != nil || wait <= 0 {
			return 0, id, err
		}
		if p.now().Add(wait).After(patience) {
			return wait, "", nil // paused, or far too much is waiting
		}
		t := time.NewTimer(wait)
		select {
		case <-ctx.Done():
			t.Stop()
			return 0, "", ctx.Err()
		case <-t.C:
		}
	}
}

// release frees the places; a fault only means that they are freed later, by
// the window itself.
func (p pacer) release(ctx context.Context, slots []slot) {
	for _, s := range slots {
		_ = p.limiter.Release(ctx, s.bucket, s.id, s.period, p.now())
	}
}

// pause holds a chat, or the whole channel, as a 429 asks.
func (p pacer) pause(ctx context.Context, a roster.Address, all bool, until time.Time) {
	if p.unlimited(a.Channel) {
		return
	}
	bucket := chatBucket(a)
	if all {
		bucket = botBucket(a)
	}
	_ = p.limiter.Pause(ctx, bucket, until)
}
