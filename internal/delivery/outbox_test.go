package delivery_test

import (
	"context"
	"slices"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// outbox is an outbox by hand: a queue for each address, the head of which is
// leased, ready at an instant, or neither.
type outbox struct {
	mu     sync.Mutex
	queues map[roster.Address]*queue
	dead   []string // "id: reason"
	broken bool     // nothing can be read
	down   error
	claims int
}

type queue struct {
	letters []roster.Envelope
	ready   time.Time
	leased  time.Time // the end of the lease, zero for none
	token   string
	arrived int
}

func (o *outbox) put(e roster.Envelope) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.queues == nil {
		o.queues = map[roster.Address]*queue{}
	}
	q := o.queues[e.Address]
	if q == nil {
		q = &queue{arrived: len(o.queues)}
		o.queues[e.Address] = q
	}
	q.letters = append(q.letters, e)
}

func (o *outbox) Claim(_ context.Context, token string, now time.Time, lease time.Duration, most int,
	held func(roster.TripID, roster.Address) bool,
) ([]roster.Claimed, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.claims++; o.down != nil {
		return nil, o.down
	}
	var ready []*queue
	for _, q := range o.queues {
		if !q.leased.IsZero() && !now.Before(q.leased) { // the lease ran out
			q.leased, q.letters[0].Unsure = time.Time{}, true
		}
		if len(q.letters) > 0 && q.leased.IsZero() && !now.Before(q.ready) &&
			!(held != nil && held(q.letters[0].Trip, q.letters[0].Address)) {
			ready = append(ready, q)
		}
	}
	slices.SortFunc(ready, func(a, b *queue) int {
		return 1000*(int(a.letters[0].Level)-int(b.letters[0].Level)) + a.arrived - b.arrived
	})
	var claimed []roster.Claimed
	for _, q := range ready[:min(most, len(ready))] {
		q.leased, q.token = now.Add(lease), token
		q.letters[0].Attempts++
		c := roster.Claimed{Envelope: q.letters[0], Token: token}
		if o.broken {
			c.Fault = "not of this version"
		}
		claimed = append(claimed, c)
	}
	return claimed, nil
}

func (o *outbox) settle(c roster.Claimed, do func(*queue)) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.down != nil {
		return o.down
	}
	q := o.queues[c.Address]
	if q.token != c.Token || q.leased.IsZero() {
		return roster.ErrConflict
	}
	q.leased = time.Time{}
	do(q)
	return nil
}

func (o *outbox) Sent(_ context.Context, c roster.Claimed) error {
	return o.settle(c, func(q *queue) { q.letters = q.letters[1:] })
}

func (o *outbox) Later(_ context.Context, c roster.Claimed, t time.Time, unsure bool) error {
	return o.settle(c, func(q *queue) { q.ready, q.letters[0].Unsure, q.letters[0].Attempts = t, unsure, c.Attempts })
}

func (o *outbox) Dead(_ context.Context, c roster.Claimed, reason string, _ time.Time) error {
	return o.settle(c, func(q *queue) {
		q.letters = q.letters[1:]
		o.dead = append(o.dead, c.ID+": "+reason)
	})
}

func (o *outbox) DeadLetters(context.Context, roster.TripID) ([]roster.DeadLetter, error) {
	return nil, nil
}

func (o *outbox) Depth(context.Context) (int, error) { return 0, nil }

func (o *outbox) setDown(err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.down = err
}

func (o *outbox) buried() []string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.Clone(o.dead)
}

// sender notes what was sent when; answer says what becomes of it.
type sender struct {
	mu      sync.Mutex
	channel string
	took    time.Duration
	answer  func(e roster.Envelope, nth int) delivery.Outcome // nth send of all, from 1
	sends   []send
	began   time.Time
}

type send struct {
	id string
	at time.Duration // since began
	to string
}

func (s *sender) Channel() string { return s.channel }

func (s *sender) Send(_ context.Context, e roster.Envelope) delivery.Outcome {
	s.mu.Lock()
	s.sends = append(s.sends, send{e.ID, time.Since(s.began), e.Address.ID})
	nth := len(s.sends)
	s.mu.Unlock()
	time.Sleep(s.took)
	if s.answer == nil {
		return delivery.Outcome{Result: delivery.Sent}
	}
	return s.answer(e, nth)
}

func (s *sender) ids() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var ids []string
	for _, x := range s.sends {
		ids = append(ids, x.id)
	}
	return ids
}

// bell notes what the postman brings back.
type bell struct {
	mu   sync.Mutex
	rung []delivery.Inbound
	err  error
}

func (b *bell) Handle(_ context.Context, in delivery.Inbound) (*delivery.Reply, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.rung = append(b.rung, in)
	return nil, b.err
}

// round is a postman at work in a bubble.
type round struct {
	outbox  *outbox
	sender  *sender
	bell    *bell
	postman *delivery.Postman
}

func work(t *testing.T, change func(*delivery.PostmanConfig)) *round {
	t.Helper()
	r := &round{outbox: &outbox{}, sender: &sender{channel: "telegram", took: 10 * time.Millisecond, began: time.Now()},
		bell: &bell{}}
	cfg := delivery.PostmanConfig{Outbox: r.outbox, Door: r.bell, Senders: []delivery.Sender{r.sender}}
	if change != nil {
		change(&cfg)
	}
	r.postman = delivery.NewPostman(cfg)
	return r
}

// run lets the postman work for d.
func (r *round) run(t *testing.T, d time.Duration) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { defer close(done); r.postman.Run(ctx) }()
	time.Sleep(d)
	cancel()
	<-done
}

func envelope(id, to string) roster.Envelope {
	return roster.Envelope{ID: id, Trip: tripA, Person: "p2", Address: chat(to), Safety: true}
}
