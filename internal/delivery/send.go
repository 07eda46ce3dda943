package delivery

import (
	"context"
	"errors"
	"math/rand/v2"
	"time"

	"gasmuster/internal/roster"
)

// Why an envelope was buried; part of the dead letter and a label of metrics.
const (
	tooLate    = "too late to be of use"
	mayHave    = "may have arrived, not repeated again"
	noChannel  = "its channel is switched off"
	tooOften   = "given up after many attempts"
	notAnymore = "can't be reached"
	unreadable = "can't be read"
	stopping   = "the process stops" // of answers that aren't stored
)

// deliver takes one claimed envelope to its end: sent, put back for later, or
// buried. One that a process had in hand when it died is sent again: it may
// never have left. What follows a send is finished even when stop (the postman's
// context) ends meanwhile; the lease bounds it. admitted is called when the
// envelope no longer waits for its turn.
func (p *Postman) deliver(stop context.Context, c roster.Claimed, admitted func()) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(stop), p.cfg.Lease*3/4)
	defer cancel()
	sender, known := p.send[c.Address.Channel]
	switch {
	case c.Fault != "":
		p.giveUp(ctx, c, unreadable, c.Fault)
	case !known:
		p.giveUp(ctx, c, noChannel, "channel off")
	case !c.Expires.IsZero() && !p.cfg.Now().Before(c.Expires):
		p.bury(ctx, c, tooLate)
	case c.Unsure && c.Attempts > p.cfg.Attempts:
		p.giveUp(ctx, c, tooOften, "ends the process") // each time
	default:
		p.post(ctx, stop, sender, c, admitted)
	}
}

// post waits for the envelope's turn within the limits, and sends it.
func (p *Postman) post(ctx, stop context.Context, sender Sender, c roster.Claimed, admitted func()) {
	wait, place, err := p.pace.take(stop, c.Address, c.Level)
	admitted()
	switch {
	case stop.Err() != nil:
		p.untried(ctx, c, 0) // another process may
		return
	case err != nil:
		p.untried(ctx, c, time.Second) // the limit can't be known
		return
	case wait > 0:
		p.untried(ctx, c, wait)
		return
	}
	began := p.cfg.Now()
	sending, cancel := context.WithTimeout(ctx, p.cfg.Patience)
	out := sender.Send(sending, c.Envelope)
	answered := p.cfg.Now()
	cancel()
	p.pace.release(ctx, place, answered)
	p.cfg.Meter.Delivered(c.Address.Channel, out.Result, answered.Sub(began))
	p.settle(ctx, sender, c, out)
}

// settle does what the outcome of a send asks for.
func (p *Postman) settle(ctx context.Context, sender Sender, c roster.Claimed, out Outcome) {
	if out.Moved != (roster.Address{}) && out.Moved != c.Address {
		p.forward(ctx, sender, c, out.Moved)
		return
	}
	log := p.cfg.Log.With("envelope", c.ID, "trip", c.Trip, "person", c.Person, "channel", c.Address.Channel)
	switch out.Result {
	case Sent:
		log.Debug("sent")
		p.finish(ctx, c, "sent", func() error { return p.cfg.Outbox.Sent(ctx, c) })
	case Never:
		log.Warn("can't be delivered", "reason", out.Reason)
		p.giveUp(ctx, c, notAnymore, out.Reason)
	case Unsure:
		log.Warn("outcome of a send unknown", "reason", out.Reason, "safety", c.Safety)
		p.unsure(ctx, c, out)
	case Failed:
		log.Warn("send failed at the far end", "after", out.After)
		p.again(ctx, c, out, true)
	default:
		log.Info("not sent yet", "result", out.Result, "after", out.After, "reason", out.Reason)
		p.again(ctx, c, out, c.Unsure)
	}
}

// unsure repeats what keeps people safe until it surely arrived: hearing it twice
// does no harm. Other messages are repeated once. Either says that it is a
// repetition.
func (p *Postman) unsure(ctx context.Context, c roster.Claimed, out Outcome) {
	if !c.Safety && c.Unsure {
		p.bury(ctx, c, mayHave)
		return
	}
	p.again(ctx, c, out, true)
}

// again puts an envelope back, and holds its chat or the whole channel when
// the channel asked for it. An envelope that was tried too often is given up,
// but not because the whole channel stands still.
func (p *Postman) again(ctx context.Context, c roster.Claimed, out Outcome, unsure bool) {
	after := out.After
	if after <= 0 {
		after = retryAfter(c.Attempts)
	}
	until := p.cfg.Now().Add(after)
	if out.After > 0 {
		p.pace.pause(ctx, c.Address, out.Result == Paused, until)
	}
	if out.Result != Paused && c.Attempts >= p.cfg.Attempts {
		p.giveUp(ctx, c, tooOften, out.Reason)
		return
	}
	p.putBack(ctx, c, p.cfg.Now().Add(min(after, longestRest)), unsure)
}

// longestRest is how long an envelope is put back for at most. A longer wait is
// its channel's or its chat's, and holds it up again.
const longestRest = 2 * time.Minute

// retries are the waits after the first, second, ... attempt; the last for all
// that follow.
var retries = []time.Duration{time.Second, 3 * time.Second, 10 * time.Second, 30 * time.Second, time.Minute,
	longestRest}

// retryAfter is the wait after that many attempts, up to a tenth longer, so that
// what failed together does not come back together.
func retryAfter(attempts int) time.Duration {
	d := retries[min(max(attempts-1, 0), len(retries)-1)]
	return d + rand.N(d/10) // #nosec G404 -- jitter, no secret
}

// untried puts back what only waited for a place: that is no attempt.
func (p *Postman) untried(ctx context.Context, c roster.Claimed, wait time.Duration) {
	c.Attempts--
	p.putBack(ctx, c, p.cfg.Now().Add(min(wait, longestRest)), c.Unsure)
}

// forward sends to where the address has moved, and has the stored ids
// rewritten. What else waits for the old address takes the same way.
func (p *Postman) forward(ctx context.Context, sender Sender, c roster.Claimed, to roster.Address) {
	if err := p.moved(ctx, c, to); err != nil {
		p.putBack(ctx, c, p.cfg.Now().Add(retryAfter(c.Attempts)), c.Unsure)
		return
	}
	e := c.Envelope
	e.Address = to
	sending, cancel := context.WithTimeout(ctx, p.cfg.Patience)
	defer cancel()
	out := sender.Send(sending, e)
	out.Moved = roster.Address{} // a second move is tried again later
	p.settle(ctx, sender, c, out)
}

// giveUp is the end of what didn't get through, other than what came too late or
// may have arrived: those it was for stand on the leaders' lists by what they owe.
// It has the leader told that the person can't be reached, and then buries
// the envelope; in this order, so that a crash in between tells them again
// rather than never.
func (p *Postman) giveUp(ctx context.Context, c roster.Claimed, why, detail string) {
	if err := p.lost(ctx, c, detail); err != nil {
		p.putBack(ctx, c, p.cfg.Now().Add(retryAfter(c.Attempts)), c.Unsure)
		return
	}
	p.bury(ctx, c, why)
}

func (p *Postman) bury(ctx context.Context, c roster.Claimed, reason string) {
	p.cfg.Meter.Buried(c.Address.Channel, reason)
	p.cfg.Log.Warn("message dropped", "envelope", c.ID, "trip", c.Trip, "person", c.Person, "reason", reason)
	c.Payload = bare(c.Payload)
	p.finish(ctx, c, "buried", func() error { return p.cfg.Outbox.Dead(ctx, c, reason, p.cfg.Now()) })
}

func (p *Postman) putBack(ctx context.Context, c roster.Claimed, at time.Time, unsure bool) {
	p.finish(ctx, c, "put back", func() error { return p.cfg.Outbox.Later(ctx, c, at, unsure) })
}

// finish writes an outcome down, trying again while the lease holds. When it
// can't, the lease runs out and the envelope comes back marked unsure.
func (p *Postman) finish(ctx context.Context, c roster.Claimed, what string, write func() error) {
	for attempt := 0; ; attempt++ {
		err := write()
		if err == nil || errors.Is(err, roster.ErrConflict) {
			return // a conflict: the lease is not ours any more, or a lost answer to our own write
		}
		p.rest(ctx, min(100*time.Millisecond<<attempt, 2*time.Second), nil)
		if ctx.Err() != nil {
			p.cfg.Log.Error("outcome not written down", "envelope", c.ID, "outcome", what, "error", err)
			return
		}
	}
}
