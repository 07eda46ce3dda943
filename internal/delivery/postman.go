package delivery

import (
	"context"
	"log/slog"
	"strings"
	"sync"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// Postman is the one way out: it takes envelopes from the stored outbox under
// a lease and sends each through its channel. The outbox gives out only the
// oldest envelope of an address and only one at a time, which keeps the order;
// among addresses the most urgent goes first.
//
// A newcomer finds: the loop here, one envelope's way in send.go, limits in
// pace.go, who is next to use them in gate.go, what is said to people on no trip
// in answers.go.
type Postman struct {
	cfg  PostmanConfig
	pace pacer
	kick chan struct{}
	send map[string]Sender
	held hands

	hosts, strangers *answers // what is said directly
}

// PostmanConfig is what a Postman works with. Outbox, Door and Senders are needed.
type PostmanConfig struct {
	Outbox  roster.Outbox
	Door    DoorBell
	Senders []Sender
	Limiter roster.Limiter   // nil: no limits
	Limits  map[string]Limit // by channel; a channel without an entry is not limited

	Workers  int           // sends at the same time, default 32: a second's budget when the answer takes a second
	Lease    time.Duration // default 30 s: longer than any one send may take, short after a crash
	Patience time.Duration // of one send, default 15 s
	Sweep    time.Duration // how often to look for what others committed, default 500 ms
	Attempts int           // before an envelope is given up, default 40: over an hour of waits

	Now   func() time.Time
	Meter Meter
	Log   *slog.Logger
}

// DoorBell is how the postman brings back what it learned about an address.
type DoorBell interface {
	Handle(ctx context.Context, in Inbound) (*Reply, error)
}

// Limit is a channel's budget: PerBot sends in BotPeriod over all chats,
// PerChat in ChatPeriod to one, to a group chat also PerGroup in GroupPeriod, all
// in strict sliding windows.
type Limit struct {
	PerBot      int
	BotPeriod   time.Duration
	PerChat     int
	ChatPeriod  time.Duration
	PerGroup    int
	GroupPeriod time.Duration
	Group       func(roster.Address) bool // whether that is a group chat; nil: none is
}

// TelegramLimit is the documented budget: about 30 messages a second over the
// whole bot; about one a second to one chat, in short bursts; 20 a minute to one
// group, whose id is negative.
var TelegramLimit = Limit{PerBot: 30, BotPeriod: time.Second, PerChat: 3, ChatPeriod: 3 * time.Second,
	PerGroup: 20, GroupPeriod: time.Minute, Group: func(a roster.Address) bool { return strings.HasPrefix(a.ID, "-") }}

// NewPostman makes a Postman; Run sets it to work.
func NewPostman(c PostmanConfig) *Postman {
	setDefault(&c.Workers, 32)
	setDefault(&c.Lease, 30*time.Second)
	setDefault(&c.Patience, 15*time.Second)
	setDefault(&c.Sweep, 500*time.Millisecond)
	setDefault(&c.Attempts, 40)
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Meter == nil {
		c.Meter = noMeter{}
	}
	if c.Log == nil {
		c.Log = slog.Default()
	}
	p := &Postman{cfg: c, kick: make(chan struct{}, 1), send: map[string]Sender{},
		hosts: newAnswers(), strangers: newAnswers()}
	p.pace = newPacer(c.Limiter, c.Limits, c.Now)
	for _, s := range c.Senders {
		p.send[s.Channel()] = s
	}
	return p
}

func setDefault[T int | time.Duration](v *T, to T) {
	if *v <= 0 {
		*v = to
	}
}

// Kick says that there is something to send now. It never blocks.
func (p *Postman) Kick() {
	select {
	case p.kick <- struct{}{}:
	default:
	}
}

// Run sends until ctx ends, then finishes what is being sent, within its
// lease, and returns.
func (p *Postman) Run(ctx context.Context) {
	workers := &room{hands: make(chan struct{}, p.cfg.Workers), lobby: make(chan struct{}, min(lobby, p.cfg.Workers))}
	var busy sync.WaitGroup
	defer busy.Wait()
	p.answerAll(ctx, &busy)
	for ctx.Err() == nil {
		n, err := p.round(ctx, workers, &busy)
		switch {
		case err != nil:
			p.cfg.Log.Warn("outbox can't be read", "error", err)
			p.rest(ctx, max(p.cfg.Sweep, time.Second), nil)
		case n == 0:
			p.rest(ctx, p.cfg.Sweep, p.kick)
		}
	}
}

// lobby is how many claimed envelopes may wait for their turn within the
// limits at the same time. Few, since what is claimed can't be overtaken by
// what comes to the outbox later; enough for the next ones to be at hand.
const lobby = 8

// room counts, by what is in its channels, the envelopes in hand and those
// among them that wait for their turn. Only Run's goroutine adds to it.
type room struct{ hands, lobby chan struct{} }

// wait returns when there is room for one more; false when ctx ended.
func (r *room) wait(ctx context.Context) bool {
	for _, c := range []chan struct{}{r.hands, r.lobby} {
		select {
		case c <- struct{}{}:
			<-c
		case <-ctx.Done():
			return false
		}
	}
	return true
}

func (r *room) left() int {
	return min(cap(r.hands)-len(r.hands), cap(r.lobby)-len(r.lobby))
}

// round claims as many envelopes as there is room for, and starts them. It
// waits until there is room for at least one.
func (p *Postman) round(ctx context.Context, r *room, busy *sync.WaitGroup) (int, error) {
	if !r.wait(ctx) {
		return 0, nil
	}
	claimed, err := p.cfg.Outbox.Claim(ctx, randomID(16), p.cfg.Now(), p.cfg.Lease, r.left(), p.held.has)
	if err != nil && ctx.Err() == nil {
		return 0, err
	}
	for _, c := range claimed {
		r.hands <- struct{}{}
		r.lobby <- struct{}{}
		admitted := sync.OnceFunc(func() { <-r.lobby; p.Kick() })
		p.held.take(c)
		busy.Go(func() {
			defer p.Kick() // the address may have more, and a worker is free
			defer p.held.leave(c)
			defer func() { <-r.hands }()
			defer admitted()
			p.deliver(ctx, c, admitted)
		})
	}
	return len(claimed), nil
}

// hands are the queues that this process has a letter of in hand. It doesn't take
// them again: a lease ends by the clock, and a clock can jump.
type hands struct {
	mu     sync.Mutex
	queues map[queue]bool
}

type queue struct {
	trip    roster.TripID
	address roster.Address
}

func (h *hands) has(t roster.TripID, a roster.Address) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.queues[queue{t, a}]
}

func (h *hands) take(c roster.Claimed) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.queues == nil {
		h.queues = map[queue]bool{}
	}
	h.queues[queue{c.Trip, c.Address}] = true
}

func (h *hands) leave(c roster.Claimed) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.queues, queue{c.Trip, c.Address})
}

func (p *Postman) rest(ctx context.Context, d time.Duration, wake <-chan struct{}) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-t.C:
	case <-wake:
	}
}

// lost tells the door that an address can't be reached.
func (p *Postman) lost(ctx context.Context, c roster.Claimed, reason string) error {
	return p.ring(ctx, Inbound{Kind: conversation.Lost, Source: "lost:" + c.ID, From: c.Address,
		Reason: reason, At: p.cfg.Now()}, c)
}

// moved tells the door that an address has changed.
func (p *Postman) moved(ctx context.Context, c roster.Claimed, to roster.Address) error {
	return p.ring(ctx, Inbound{Kind: conversation.Moved, Source: "moved:" + c.ID, From: c.Address,
		Group: to, At: p.cfg.Now()}, c)
}

func (p *Postman) ring(ctx context.Context, in Inbound, c roster.Claimed) error {
	if c.Address.Channel == Web {
		in.Trip, in.Person = c.Trip, c.Person
	}
	_, err := p.cfg.Door.Handle(ctx, in)
	if err != nil {
		p.cfg.Log.Error("news about an address not recorded", "envelope", c.ID, "kind", in.Kind, "error", err)
	}
	return err
}
