package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"strconv"
	"sync"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

const (
	batchSize   = 100
	pollWorkers = 8
	conflict    = 3 * time.Second // the server punishes a second poller that comes back sooner
)

// poller fetches updates. The offset, which confirms everything before it,
// moves past an update only when that was handled, so a crash loses nothing.
// Updates of one chat are handled in their order; one that can't be stored
// holds up its chat, not the others.
type poller struct {
	c      *Channel
	offset int64          // 0: from the oldest that is not confirmed
	done   map[int64]bool // handled, but behind one that was not
}

// poll fetches updates until ctx ends; a poll under way is cut off.
func (c *Channel) poll(ctx context.Context) {
	p := &poller{c: c, done: map[int64]bool{}}
	defer p.confirm()
	for failed := 0; ctx.Err() == nil; {
		wait, err := p.round(ctx)
		switch {
		case err == nil:
			failed = 0
			continue
		case ctx.Err() != nil:
			return
		}
		c.complain("get updates", err)
		if !rest(ctx, max(wait, c.backOff(failed, err))) {
			return
		}
		failed++
	}
}

var errHeldUp = errors.New("some updates could not be stored")

// round fetches and handles one batch. With an error comes how long to wait at least.
func (p *poller) round(ctx context.Context) (time.Duration, error) {
	batch, err := p.fetch(ctx)
	if err != nil {
		return p.c.afterPollFault(ctx, err), err
	}
	if len(batch) == 0 {
		// All before offset is confirmed now. After a quiet week the server may
		// number afresh, from below it, so the next poll names no offset.
		p.offset = 0
		clear(p.done)
		return 0, nil
	}
	if !p.work(ctx, batch) {
		return 0, errHeldUp
	}
	return 0, nil
}

// afterPollFault knows the one fault that needs more than patience: a webhook
// that somebody set meanwhile, or a second poller.
func (c *Channel) afterPollFault(ctx context.Context, err error) time.Duration {
	var f *fault
	if !errors.As(err, &f) || f.code != 409 {
		return 0
	}
	if f.says("webhook is active") {
		if err := c.deleteWebhook(ctx); err != nil {
			c.complain("remove webhook", err)
		}
	}
	return max(conflict, f.retryAfter)
}

func (p *poller) fetch(ctx context.Context) ([]json.RawMessage, error) {
	hold := p.c.cfg.PollTimeout
	ctx, cancel := context.WithTimeout(ctx, hold+callTimeout)
	defer cancel()
	params := tgbotapi.Params{
		"timeout":         strconv.Itoa(int(hold / time.Second)),
		"limit":           strconv.Itoa(batchSize),
		"allowed_updates": asJSON(allowedUpdates),
	}
	params.AddNonZero64("offset", p.offset)
	raw, err := p.c.api.call(ctx, "getUpdates", params)
	if err != nil {
		return nil, err
	}
	var batch []json.RawMessage
	return batch, unmarshal(raw, &batch)
}

// work handles a batch and moves the offset. It tells whether all was handled.
func (p *poller) work(ctx context.Context, batch []json.RawMessage) bool {
	lanes, ids := p.sort(batch)
	var mu sync.Mutex
	held := false
	each(lanes, func(lane []update) {
		for _, u := range lane {
			ok := p.handle(ctx, u) == nil
			mu.Lock()
			p.done[u.ID] = ok || p.done[u.ID]
			held = held || !ok
			mu.Unlock()
			if !ok {
				return // the rest of this chat waits, in its order
			}
		}
	})
	p.advance(ids)
	return !held && ctx.Err() == nil
}

func (p *poller) handle(ctx context.Context, u update) error {
	ctx, cancel := context.WithTimeout(ctx, handleTimeout)
	defer cancel()
	return p.c.handle(ctx, u)
}

// sort decodes the batch element by element, so that one poisoned update costs
// only itself, and groups what is not handled yet by chat.
func (p *poller) sort(batch []json.RawMessage) (lanes [][]update, ids []int64) {
	index := map[int64]int{}
	for _, raw := range batch {
		u, err := decode(raw)
		if u.ID != 0 {
			ids = append(ids, u.ID)
		}
		if err != nil && !p.done[u.ID] {
			p.c.log.Error("update dropped: it can't be read", "update", u.ID, "error", err)
			p.done[u.ID] = true
		}
		if p.done[u.ID] {
			continue
		}
		i, ok := index[u.lane()]
		if !ok {
			i = len(lanes)
			index[u.lane()] = i
			lanes = append(lanes, nil)
		}
		lanes[i] = append(lanes[i], u)
	}
	return lanes, ids
}

// advance moves the offset to the first update that was not handled.
func (p *poller) advance(ids []int64) {
	for _, id := range ids {
		if !p.done[id] {
			p.offset = id
			return
		}
		p.offset = id + 1
	}
	clear(p.done)
}

// each runs do for every lane, a few at a time, and waits for all.
func each(lanes [][]update, do func([]update)) {
	free := make(chan struct{}, pollWorkers)
	var busy sync.WaitGroup
	for _, lane := range lanes {
		free <- struct{}{}
		busy.Go(func() {
			defer func() { <-free }()
			do(lane)
		})
	}
	busy.Wait()
}

// confirm tells the server on the way out what was handled, so that the next
// process doesn't get it again. When that fails, it does; nothing is harmed.
func (p *poller) confirm() {
	if p.offset == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	_, _ = p.c.api.call(ctx, "getUpdates", tgbotapi.Params{"offset": strconv.FormatInt(p.offset, 10),
		"timeout": "0", "limit": "1", "allowed_updates": asJSON(allowedUpdates)})
}
