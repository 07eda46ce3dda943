package delivery

import (
	"context"
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// pacer keeps sends within a channel's limits. The budget is shared by all
// processes through the store.
type pacer struct {
	limiter roster.Limiter
	limits  map[string]Limit
	gates   map[string]*gate // by channel: to the bot's own budget
	now     func() time.Time
}

func newPacer(l roster.Limiter, limits map[string]Limit, now func() time.Time) pacer {
	p := pacer{limiter: l, limits: limits, gates: map[string]*gate{}, now: now}
	for channel := range limits {
		p.gates[channel] = new(gate)
	}
	return p
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
func (p pacer) take(ctx context.Context, a roster.Address, level roster.Level) (wait time.Duration, slots []slot,
	err error) {
	if p.unlimited(a.Channel) {
		return 0, nil, nil
	}
	wait, slots, err = p.takeChat(ctx, a, level)
	if err != nil || wait > 0 {
		return wait, nil, err
	}
	wait, id, err := p.takeBot(ctx, a, level)
	if err != nil || wait > 0 {
		p.release(context.WithoutCancel(ctx), slots, p.now())
		return wait, nil, err
	}
	return 0, append(slots, slot{botBucket(a), id, p.limits[a.Channel].BotPeriod}), nil
}

// takeChat asks for the chat's own places: a group's minute first, since it is
// the longer wait.
func (p pacer) takeChat(ctx context.Context, a roster.Address, level roster.Level) (wait time.Duration, slots []slot,
	err error) {
	for _, w := range p.limits[a.Channel].windows(a) {
		wait, id, err := p.limiter.TakeFor(ctx, level, w.bucket, w.most, w.period, p.now())
		if err != nil || wait > 0 {
			p.release(context.WithoutCancel(ctx), slots, p.now())
			return wait, nil, err
		}
		slots = append(slots, slot{w.bucket, id, w.period})
	}
	return 0, slots, nil
}

// window allows most sends in period.
type window struct {
	bucket string
	most   int
	period time.Duration
}

func (l Limit) windows(a roster.Address) []window {
	w := []window{{chatBucket(a), l.PerChat, l.ChatPeriod}}
	if l.Group != nil && l.Group(a) {
		w = slices.Insert(w, 0, window{"group:" + a.Channel + ":" + a.ID, l.PerGroup, l.GroupPeriod})
	}
	return w
}

// answeredFor is how long an update may come again from the far end.
const answeredFor = 48 * time.Hour

// first tells whether no process has taken this direct answer yet.
func (p pacer) first(ctx context.Context, e roster.Envelope) bool {
	if p.limiter == nil {
		return true
	}
	wait, _, err := p.limiter.Take(ctx, "answer:"+e.Address.Channel+":"+e.ID, 1, answeredFor, p.now())
	return err != nil || wait <= 0 // rather twice than never
}

// takeBot waits for the bot's own budget. A wait that comes back is one that
// would take too long here: paused, or far too much is waiting.
func (p pacer) takeBot(ctx context.Context, a roster.Address, level roster.Level) (time.Duration, string, error) {
	l, g := p.limits[a.Channel], p.gates[a.Channel]
	patience := p.now().Add(3 * l.BotPeriod)
	if err := g.enter(ctx, level); err != nil {
		return 0, "", err
	}
	defer g.leave()
	if level > roster.LevelAnswer {
		apart := l.BotPeriod / time.Duration(spread*l.PerBot)
		if err := sleep(ctx, min(apart, g.next.Sub(p.now()))); err != nil { // not more: a clock may go back
			return 0, "", err
		}
		g.next = p.now().Add(apart)
	}
	for {
		wait, id, err := p.limiter.TakeFor(ctx, level, botBucket(a), l.PerBot, l.BotPeriod, p.now())
		if err != nil || wait <= 0 {
			return 0, id, err
		}
		if p.now().Add(wait).After(patience) {
			return wait, "", nil
		}
		if err := sleep(ctx, wait); err != nil {
			return 0, "", err
		}
	}
}

// spread keeps what is not urgent from leaving in one burst a period, whose
// places all become free again at one moment: over a quarter of the period, an
// answer that waits behind a letter to the same chat finds a place as soon as
// that has arrived, and not a period later.
const spread = 4

// sleep waits for d, which may be over, or the end of ctx.
func sleep(ctx context.Context, d time.Duration) error {
	if d <= 0 {
		return ctx.Err()
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}

// release frees the places one period after at, when the answer came: the
// bot's own first, since others wait for it. A fault only means that they are
// freed later, by the window itself.
func (p pacer) release(ctx context.Context, slots []slot, at time.Time) {
	for _, s := range slices.Backward(slots) {
		_ = p.limiter.Release(ctx, s.bucket, s.id, s.period, at)
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
