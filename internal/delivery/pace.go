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

// slot is one taken place of some windows, to be released when the answer is in.
type slot struct {
	windows []roster.Window
	id      string
}

// The windows of a channel's bot and of its chats are one budget.
func chatBucket(a roster.Address) string  { return "bot:" + a.Channel + "/chat:" + a.ID }
func groupBucket(a roster.Address) string { return "bot:" + a.Channel + "/group:" + a.ID }
func botBucket(a roster.Address) string   { return "bot:" + a.Channel + "/all" }

func (p pacer) unlimited(channel string) bool {
	_, limited := p.limits[channel]
	return p.limiter == nil || !limited
}

// take asks for one send to a, one worker at a time. A chat that has had its share
// gives the wait back, so that others are served meanwhile; the bot's own budget is
// waited for here, since everybody needs it. A wait for that comes back when it would
// take too long here: paused, or far too much is waiting.
func (p pacer) take(ctx context.Context, a roster.Address, level roster.Level) (time.Duration, slot, error) {
	if p.unlimited(a.Channel) {
		return 0, slot{}, nil
	}
	l, g := p.limits[a.Channel], p.gates[a.Channel]
	windows, patience := l.windows(a), p.now().Add(3*l.BotPeriod)
	if err := g.enter(ctx, level); err != nil {
		return 0, slot{}, err
	}
	defer g.leave()
	if err := p.spread(ctx, l, g, level); err != nil {
		return 0, slot{}, err
	}
	for {
		place, err := p.limiter.TakeAll(ctx, level, windows, p.now())
		if err != nil || place.Wait <= 0 {
			return 0, slot{windows, place.Slot}, err
		}
		if place.Full < len(windows)-1 || p.now().Add(place.Wait).After(patience) {
			return place.Wait, slot{}, nil
		}
		if err := sleep(ctx, place.Wait); err != nil {
			return 0, slot{}, err
		}
	}
}

// windows are the group's minute first, since it is the longer wait, the chat's own
// places, and the bot's.
func (l Limit) windows(a roster.Address) []roster.Window {
	w := []roster.Window{{Bucket: chatBucket(a), Most: l.PerChat, Period: l.ChatPeriod},
		{Bucket: botBucket(a), Most: l.PerBot, Period: l.BotPeriod}}
	if l.Group != nil && l.Group(a) {
		w = slices.Insert(w, 0, roster.Window{Bucket: groupBucket(a), Most: l.PerGroup, Period: l.GroupPeriod})
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

// parts is how many times as fast as its budget a bot sends what is not urgent.
const parts = 4

// spread keeps what is not urgent from leaving in one burst a period, whose
// places all become free again at one moment: over a quarter of the period, an
// answer that waits behind a letter to the same chat finds a place as soon as
// that has arrived, and not a period later.
func (p pacer) spread(ctx context.Context, l Limit, g *gate, level roster.Level) error {
	if level <= roster.LevelAnswer {
		return nil
	}
	apart := l.BotPeriod / time.Duration(parts*l.PerBot)
	if err := sleep(ctx, min(apart, g.next.Sub(p.now()))); err != nil { // not more: a clock may go back
		return err
	}
	g.next = p.now().Add(apart)
	return nil
}

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

// release frees the places one period after at, when the answer came. A fault only
// means that they are freed later, by the window itself.
func (p pacer) release(ctx context.Context, s slot, at time.Time) {
	if s.id != "" {
		_ = p.limiter.ReleaseAll(ctx, s.windows, s.id, at)
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
