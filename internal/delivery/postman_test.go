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

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
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

func TestOrderOfOneAddress(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		for i := range 20 {
			r.outbox.put(envelope(fmt.Sprintf("e%02d", i), "200"))
		}
		r.run(t, 10*time.Second)
		if got := r.sender.ids(); len(got) != 20 || !slices.IsSorted(got) {
			t.Errorf("sent %v, want all twenty in order", got)
		}
	})
}

func TestMostUrgentGoesFirst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, func(c *delivery.PostmanConfig) { c.Workers = 1 })
		for i, level := range []roster.Level{roster.LevelAnnouncement, roster.LevelReminder, roster.LevelVerdict,
			roster.LevelAnnouncement, roster.LevelVerdict} {
			e := envelope(fmt.Sprintf("%d%d", level, i), fmt.Sprint(i))
			e.Level = level
			r.outbox.put(e)
		}
		r.run(t, 10*time.Second)
		if got := r.sender.ids(); len(got) != 5 || !slices.IsSorted(got) {
			t.Errorf("sent %v, want the urgent first", got)
		}
	})
}

func TestKickSendsAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, func(c *delivery.PostmanConfig) { c.Sweep = time.Hour })
		go func() {
			time.Sleep(time.Second)
			r.outbox.put(envelope("e1", "200"))
			r.postman.Kick()
		}()
		r.run(t, 2*time.Second)
		if len(r.sender.sends) != 1 || r.sender.sends[0].at != time.Second {
			t.Errorf("sent %v, want at the instant of the kick", r.sender.sends)
		}
	})
}

func TestSweepFindsWhatOthersCommitted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		go func() { time.Sleep(time.Second + 1); r.outbox.put(envelope("e1", "200")) }()
		r.run(t, 3*time.Second)
		if got := r.sender.ids(); len(got) != 1 {
			t.Errorf("sent %v, want the one", got)
		}
	})
}

func TestRetryAfterIsObeyed(t *testing.T) {
	for name, c := range map[string]struct {
		result delivery.Result
		other  time.Duration // when the other chat may be written to
	}{
		"the chat alone":    {delivery.Later, 0},
		"the whole channel": {delivery.Paused, 7 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				l := &limiter{busy: map[string][]*place{}}
				r := work(t, func(c *delivery.PostmanConfig) {
					c.Workers, c.Limiter = 1, l
					c.Limits = map[string]delivery.Limit{"telegram": delivery.TelegramLimit}
				})
				r.sender.answer = func(e roster.Envelope, nth int) delivery.Outcome {
					if nth == 1 {
						return delivery.Outcome{Result: c.result, After: 7 * time.Second}
					}
					return delivery.Outcome{Result: delivery.Sent}
				}
				r.outbox.put(envelope("e1", "200"))
				r.outbox.put(envelope("f1", "300"))
				r.run(t, 30*time.Second)
				at := map[string]time.Duration{}
				for _, s := range r.sender.sends[1:] {
					at[s.id] = s.at
				}
				if len(r.sender.sends) != 3 || at["e1"] < 7*time.Second || at["f1"] < c.other || at["f1"] > c.other+2*time.Second {
					t.Errorf("sends %v: want e1 again after 7 s, f1 after %v", r.sender.sends, c.other)
				}
			})
		})
	}
}

// What the far end says failed is sent again until it is taken. When nothing
// says what became of a send, safety is repeated until it surely arrived, and
// everything else once. Every repetition knows that it is one.
func TestUnknownOutcome(t *testing.T) {
	for name, c := range map[string]struct {
		result   delivery.Result
		safety   bool
		failures int
		sends    int
		buried   int
	}{
		"safety, once not known":      {delivery.Unsure, true, 1, 2, 0},
		"safety, often not known":     {delivery.Unsure, true, 4, 5, 0},
		"chatter, once not known":     {delivery.Unsure, false, 1, 2, 0},
		"chatter, not known again":    {delivery.Unsure, false, 4, 2, 1},
		"safety, the far end failed":  {delivery.Failed, true, 4, 5, 0},
		"chatter, the far end failed": {delivery.Failed, false, 4, 5, 0},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := work(t, nil)
				r.sender.answer = func(e roster.Envelope, nth int) delivery.Outcome {
					if e.Unsure != (nth > 1) {
						t.Errorf("send %d: unsure %v", nth, e.Unsure)
					}
					if nth <= c.failures {
						return delivery.Outcome{Result: c.result}
					}
					return delivery.Outcome{Result: delivery.Sent}
				}
				e := envelope("e1", "200")
				e.Safety = c.safety
				r.outbox.put(e)
				r.run(t, 5*time.Minute)
				if got := r.sender.ids(); len(got) != c.sends {
					t.Errorf("sent %v, want %d sends", got, c.sends)
				}
				if got := r.outbox.buried(); len(got) != c.buried {
					t.Errorf("buried %v, want %d", got, c.buried)
				}
			})
		})
	}
}

func TestWhatADeadProcessHadInHandIsSent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		chatter := envelope("e2", "300")
		chatter.Safety = false
		for _, e := range []roster.Envelope{envelope("e1", "200"), chatter} {
			r.outbox.put(e)
		}
		if _, err := r.outbox.Claim(t.Context(), "a process that dies", time.Now(), 30*time.Second, 2, nil); err != nil {
			t.Fatal(err)
		}
		r.run(t, 29*time.Second)
		if got := r.sender.ids(); len(got) != 0 {
			t.Errorf("sent %v while another process holds the lease", got)
		}
		r.run(t, 10*time.Second)
		got := r.sender.ids()
		slices.Sort(got)
		if !slices.Equal(got, []string{"e1", "e2"}) {
			t.Errorf("sent %v, want both once: they may never have left", got)
		}
	})
}

// What fails is tried again after 1, 3, 10 and 30 seconds, then slower. A wait
// for a place within the limits is no attempt.
func TestWhenItIsTriedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := newLimiter()
		r := work(t, limited(l))
		_ = l.Pause(t.Context(), "chat:telegram:200", time.Now().Add(10*time.Minute))
		r.sender.answer = func(roster.Envelope, int) delivery.Outcome { return delivery.Outcome{Result: delivery.Failed} }
		r.outbox.put(envelope("e1", "200"))
		r.run(t, 15*time.Minute)
		want := []time.Duration{time.Second, 3 * time.Second, 10 * time.Second, 30 * time.Second, time.Minute,
			2 * time.Minute}
		for i, w := range want {
			if got := r.sender.sends[i+1].at - r.sender.sends[i].at; got < w || got > w+w/10+time.Second {
				t.Errorf("attempt %d came %v after the one before, want %v", i+2, got, w)
			}
		}
	})
}

func TestMovedChat(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.answer = func(e roster.Envelope, _ int) delivery.Outcome {
			if e.Address.ID == "-5" {
				return delivery.Outcome{Result: delivery.Later, Moved: chat("-1005")}
			}
			return delivery.Outcome{Result: delivery.Sent}
		}
		r.outbox.put(envelope("e1", "-5"))
		r.outbox.put(envelope("e2", "-5"))
		r.run(t, time.Minute)
		want := []send{{id: "e1", to: "-5"}, {id: "e1", to: "-1005"}, {id: "e2", to: "-5"}, {id: "e2", to: "-1005"}}
		got := slices.Clone(r.sender.sends)
		for i := range got {
			got[i].at = 0
		}
		if !cmp.Equal(got, want, cmp.AllowUnexported(send{})) {
			t.Errorf("sends %v, want %v", got, want)
		}
		if in := r.bell.rung[0]; in.Kind != conversation.Moved || in.From != chat("-5") || in.Group != chat("-1005") {
			t.Errorf("told %+v", in)
		}
	})
}

func TestStoreThatComesAndGoes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.outbox.setDown(errDown)
		r.outbox.put(envelope("e1", "200"))
		go func() { time.Sleep(time.Minute); r.outbox.setDown(nil) }()
		r.run(t, 2*time.Minute)
		if got := r.sender.ids(); len(got) != 1 {
			t.Errorf("sent %v, want the one after the store's return", got)
		}
		if r.outbox.claims > 400 {
			t.Errorf("%d claims: it hammered a store that is down", r.outbox.claims)
		}
	})
}

func TestOutcomeIsWrittenWhenTheStoreReturns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.answer = func(roster.Envelope, int) delivery.Outcome {
			r.outbox.setDown(errDown) // it goes down while we send
			go func() { time.Sleep(20 * time.Second); r.outbox.setDown(nil) }()
			return delivery.Outcome{Result: delivery.Sent}
		}
		r.outbox.put(envelope("e1", "200"))
		r.run(t, 5*time.Minute)
		if got := r.sender.ids(); len(got) != 1 {
			t.Errorf("sent %v, want it once: the outcome was kept until it could be written", got)
		}
	})
}

func TestStopFinishesWhatIsBeingSent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.took = 5 * time.Second
		r.outbox.put(envelope("e1", "200"))
		r.outbox.put(envelope("e2", "200"))
		r.run(t, time.Second)
		if got := r.outbox.queues[chat("200")]; len(got.letters) != 1 || got.letters[0].ID != "e2" || !got.leased.IsZero() {
			t.Errorf("left behind %+v, want e2 alone and free", got)
		}
	})
}

// limiter is a strict sliding window by hand: a place is free again one period
// after it was released.
type limiter struct {
	mu     sync.Mutex
	busy   map[string][]*place
	paused map[string]time.Time
	err    error
	took   time.Duration // by asking for a place
}

type place struct {
	id   string
	free time.Time // zero while the answer is awaited
}

func (l *limiter) TakeFor(ctx context.Context, _ roster.Level, bucket string, limit int, period time.Duration,
	now time.Time) (time.Duration, string, error) {
	return l.Take(ctx, bucket, limit, period, now)
}

func (l *limiter) Take(_ context.Context, bucket string, limit int, period time.Duration,
	now time.Time) (time.Duration, string, error) {
	time.Sleep(l.took)
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.err != nil {
		return 0, "", l.err
	}
	if until := l.paused[bucket]; now.Before(until) {
		return until.Sub(now), "", nil
	}
	l.busy[bucket] = slices.DeleteFunc(l.busy[bucket],
		func(p *place) bool { return !p.free.IsZero() && !now.Before(p.free) })
	if len(l.busy[bucket]) < limit {
		if l.busy == nil {
			l.busy = map[string][]*place{}
		}
		p := &place{id: fmt.Sprint(now.UnixNano(), len(l.busy[bucket]))}
		l.busy[bucket] = append(l.busy[bucket], p)
		return 0, p.id, nil
	}
	wait := period
	for _, p := range l.busy[bucket] {
		if !p.free.IsZero() {
			wait = min(wait, p.free.Sub(now))
		}
	}
	return wait, "", nil
}

func (l *limiter) Release(_ context.Context, bucket, id string, period time.Duration, now time.Time) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, p := range l.busy[bucket] {
		if p.id == id {
			p.free = now.Add(period)
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

func TestWebHasNoLimitAndIsIdempotent(t *testing.T) {
	pages := &pages{}
	told := 0
	w := delivery.WebSender{Chats: pages, Now: func() time.Time { return noon },
		Appended: func(roster.TripID, roster.PersonID) { told++ }}
	e := envelope("e1", "x")
	e.Address = delivery.WebAddress(tripA, "p2")
	for range 2 {
		if out := w.Send(t.Context(), e); out.Result != delivery.Sent {
			t.Errorf("got %+v", out)
		}
	}
	if len(pages.entries) != 1 || told != 2 {
		t.Errorf("%d entries, %d notices; want one entry", len(pages.entries), told)
	}
	pages.down = errDown
	if out := w.Send(t.Context(), e); out.Result != delivery.Later {
		t.Errorf("with the store down: %+v, want later", out)
	}
}

type pages struct {
	entries []roster.Entry
	down    error
}

func (p *pages) Append(_ context.Context, _ roster.TripID, _ roster.PersonID, e roster.Entry) error {
	if p.down == nil && !slices.ContainsFunc(p.entries, func(o roster.Entry) bool { return o.ID == e.ID }) {
		p.entries = append(p.entries, e)
	}
	return p.down
}

func (p *pages) Read(context.Context, roster.TripID, roster.PersonID, string) ([]roster.Entry, error) {
	return p.entries, p.down
}
