package delivery

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"gasmuster/internal/roster"
)

// How much may wait to be said to strangers, as much again to people we know, and
// how long. What is dropped is in the log.
const (
	answersWaiting  = 2000
	answersAtOnce   = 16
	answersPatience = 5 * time.Minute
)

// answers are direct answers of one level to people on no trip. They are not stored,
// since nothing was recorded; they pass the same limits as all else that leaves. Of
// one chat only the newest waits: the older ones say the same.
type answers struct {
	mu      sync.Mutex
	waiting map[roster.Address]waitingAnswer
	order   []roster.Address // whose answer waits and is not in hand, the oldest first
	hand    map[roster.Address]bool
	more    chan struct{}
}

type waitingAnswer struct {
	letter roster.Envelope
	until  time.Time
}

func newAnswers() *answers {
	return &answers{waiting: map[roster.Address]waitingAnswer{}, hand: map[roster.Address]bool{},
		more: make(chan struct{}, answersAtOnce)}
}

// add tells whether there was room.
func (a *answers) add(e roster.Envelope, until time.Time) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	_, known := a.waiting[e.Address]
	if !known && len(a.waiting) >= answersWaiting {
		return false
	}
	a.waiting[e.Address] = waitingAnswer{e, until}
	if !known && !a.hand[e.Address] {
		a.ready(e.Address)
	}
	return true
}

func (a *answers) ready(to roster.Address) {
	a.order = append(a.order, to)
	select {
	case a.more <- struct{}{}:
	default:
	}
}

// next is the answer that has waited longest; done says that it is sent.
func (a *answers) next() (w waitingAnswer, ok bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.order) == 0 {
		return waitingAnswer{}, false
	}
	to := a.order[0]
	a.order = a.order[1:]
	w = a.waiting[to]
	delete(a.waiting, to)
	a.hand[to] = true
	return w, true
}

func (a *answers) done(to roster.Address) {
	a.mu.Lock()
	defer a.mu.Unlock()
	delete(a.hand, to)
	if _, more := a.waiting[to]; more {
		a.ready(to)
	}
}

// Answer says something to somebody who is on no trip, as soon as the limits
// allow. It never blocks. The same envelope id is answered once by all processes.
func (p *Postman) Answer(e roster.Envelope) {
	if !p.answersOf(e.Level).add(e, p.cfg.Now().Add(answersPatience)) {
		p.unanswered(e, "too many wait")
	}
}

// answersOf are two lists, so that no stranger keeps a host waiting.
func (p *Postman) answersOf(level roster.Level) *answers {
	if level < roster.LevelStranger {
		return p.hosts
	}
	return p.strangers
}

func (p *Postman) unanswered(e roster.Envelope, why string) {
	p.cfg.Meter.Buried(e.Address.Channel, why)
	p.cfg.Log.Warn("direct answer dropped", "envelope", e.ID, "channel", e.Address.Channel, "reason", why)
}

// answerAll sends direct answers until ctx ends.
func (p *Postman) answerAll(ctx context.Context, busy *sync.WaitGroup) {
	for range answersAtOnce {
		busy.Go(func() { p.answerOn(ctx, p.hosts) })
		busy.Go(func() { p.answerOn(ctx, p.strangers) })
	}
}

// answerOn leaves nothing behind: what nobody will say any more is in the log.
func (p *Postman) answerOn(ctx context.Context, a *answers) {
	for ctx.Err() == nil {
		w, ok := a.next()
		if !ok {
			p.rest(ctx, time.Minute, a.more)
			continue
		}
		p.answer(ctx, w)
		a.done(w.letter.Address)
	}
	for w, ok := a.next(); ok; w, ok = a.next() {
		p.unanswered(w.letter, stopping)
	}
}

// answer waits for its turn and sends one direct answer, once more when the far
// end asks for a wait.
func (p *Postman) answer(ctx context.Context, w waitingAnswer) {
	e := w.letter
	sender, known := p.send[e.Address.Channel]
	if !known {
		p.unanswered(e, noChannel)
		return
	}
	if !p.pace.first(ctx, e) {
		return // another process says it
	}
	for ; ; e.Attempts++ {
		place, ok := p.turn(ctx, e, w.until)
		if !ok && ctx.Err() != nil {
			p.unanswered(e, stopping)
			return
		}
		if !ok {
			p.unanswered(e, tooLate)
			return
		}
		began := p.cfg.Now()
		sending, cancel := context.WithTimeout(context.WithoutCancel(ctx), p.cfg.Patience)
		out := sender.Send(sending, e)
		cancel()
		p.pace.release(context.WithoutCancel(ctx), place, p.cfg.Now())
		p.cfg.Meter.Delivered(e.Address.Channel, out.Result, p.cfg.Now().Sub(began))
		if out.Result == Sent {
			return
		}
		if out.Result == Never || out.Result == Unsure || out.Moved != (roster.Address{}) {
			p.cfg.Log.LogAttrs(ctx, slog.LevelWarn, "direct answer not sent",
				slog.String("envelope", e.ID), slog.Any("result", out.Result), slog.String("reason", out.Reason))
			return
		}
		after := max(out.After, retryAfter(e.Attempts))
		p.pace.pause(ctx, e.Address, out.Result == Paused, p.cfg.Now().Add(after))
	}
}

// turn waits for a place within the limits; false when it is too late.
func (p *Postman) turn(ctx context.Context, e roster.Envelope, until time.Time) (slot, bool) {
	for p.cfg.Now().Before(until) && ctx.Err() == nil {
		wait, place, err := p.pace.take(ctx, e.Address, e.Level)
		if err == nil && wait <= 0 {
			return place, true
		}
		if err != nil {
			wait = time.Second
		}
		if sleep(ctx, min(wait, longestRest)) != nil {
			break
		}
	}
	return slot{}, false
}
