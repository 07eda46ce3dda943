// Package webhook tells the shops' systems what happens on their trips, as the
// open Standard Webhooks specification (version 1.0.0) says.
//
//	commit --> events of a trip, stored --> Teller: lease, sign, POST --> the shop's endpoint
//	                                          failed: later, with jitter, over a day
//	the shop's API --> Desk: register, look, replay
//
// An event is told at least once, and a trip's events in their order: the next
// one waits until the one before it was answered with 2xx. Trips don't wait for
// each other. Where every attempt of a whole day failed the endpoint is
// disabled and the leaders are told; what happened meanwhile is kept, and told
// when the endpoint is registered again.
//
// A newcomer finds: the loop here, one attempt in attempt.go, when to try again
// in schedule.go, which addresses are refused in guard.go, the keeping of
// secrets in seal.go, what the shop's API calls in desk.go.
package webhook

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	mathrand "math/rand/v2"
	"net/http"
	"sync"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// Config is what a Teller works with. News, Trips, Sealer and Client are needed.
type Config struct {
	News   roster.Newsroom
	Trips  Trips
	Door   Door // tells leaders that nothing is told any more; nil tells nobody
	Sealer Sealer
	Client *http.Client // see NewClient

	Workers int           // attempts at the same time, default 8
	PerShop int           // of those, to one shop's endpoint, default 2
	Lease   time.Duration // default 60 s: longer than any one attempt may take
	Sweep   time.Duration // how often to look for what was committed, default 1 s

	Now   func() time.Time
	Dice  func() float64 // for the jitter, in [0, 1)
	Meter Meter
	Log   *slog.Logger
}

// Trips lists a shop's trips and reads them; see roster.Store.
type Trips interface {
	Load(ctx context.Context, id roster.TripID, source string) (roster.Loaded, error)
	List(ctx context.Context, shop roster.ShopID, from, to time.Time) ([]roster.TripID, error)
}

// Door is the one door in, as far as it is used here; see delivery.Door.
type Door interface {
	Apply(ctx context.Context, trip roster.TripID, source string,
		change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip, error)
}

// Meter counts attempts by result.
type Meter interface {
	Told(result string, took time.Duration)
}

// Teller tells shops' systems of events. Any number of processes may run one.
type Teller struct {
	cfg  Config
	kick chan struct{}
	mu   sync.Mutex
	busy map[roster.ShopID]int
}

// New makes a Teller; Run sets it to work.
func New(c Config) *Teller {
	setDefault(&c.Workers, 8)
	setDefault(&c.PerShop, 2)
	setDefault(&c.Lease, time.Minute)
	setDefault(&c.Sweep, time.Second)
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Dice == nil {
		c.Dice = mathrand.Float64
	}
	if c.Log == nil {
		c.Log = slog.Default()
	}
	return &Teller{cfg: c, kick: make(chan struct{}, 1), busy: map[roster.ShopID]int{}}
}

func setDefault[T int | time.Duration](v *T, to T) {
	if *v <= 0 {
		*v = to
	}
}

// Run tells what is due until ctx ends, then finishes what is under way and
// returns.
func (t *Teller) Run(ctx context.Context) {
	free := make(chan struct{}, t.cfg.Workers)
	var busy sync.WaitGroup
	defer busy.Wait()
	for ctx.Err() == nil {
		n, err := t.round(ctx, free, &busy)
		switch {
		case err != nil:
			t.cfg.Log.Warn("news for shops can't be read", "error", err)
			rest(ctx, t.cfg.Sweep, nil)
		case n == 0:
			rest(ctx, t.cfg.Sweep, t.kick)
		}
	}
}

// round takes the next event of as many trips as there are free workers, and
// starts them. It waits until at least one worker is free.
func (t *Teller) round(ctx context.Context, free chan struct{}, busy *sync.WaitGroup) (int, error) {
	select {
	case free <- struct{}{}:
		<-free // only this goroutine fills it: the place stays free
	case <-ctx.Done():
		return 0, nil
	}
	taken, err := t.cfg.News.TakeNews(ctx, rand.Text(), t.cfg.Now(), t.cfg.Lease, cap(free)-len(free))
	if err != nil && ctx.Err() == nil {
		return 0, err
	}
	for _, n := range taken {
		free <- struct{}{}
		busy.Go(func() {
			defer t.again() // the trip may have more, and a worker is free
			defer func() { <-free }()
			t.tell(context.WithoutCancel(ctx), n) // what was begun is ended
		})
	}
	return len(taken), nil
}

func (t *Teller) again() {
	select {
	case t.kick <- struct{}{}:
	default:
	}
}

func rest(ctx context.Context, d time.Duration, wake <-chan struct{}) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	case <-wake:
	}
}

// tell makes one attempt at one trip's next event, if somebody listens.
func (t *Teller) tell(ctx context.Context, n roster.News) {
	e, err := t.cfg.News.Endpoint(ctx, n.Shop)
	now := t.cfg.Now()
	switch {
	case errors.Is(err, roster.ErrNotFound):
		t.end(ctx, n, roster.NewsUnheard, time.Time{})
	case err != nil:
		t.log(n).Warn("endpoint can't be read", "error", err)
		t.end(ctx, n, roster.NewsWaits, now.Add(10*time.Second))
	case !e.Disabled.IsZero():
		t.end(ctx, n, roster.NewsParked, time.Time{})
	case !t.enter(n.Shop):
		t.end(ctx, n, roster.NewsWaits, now.Add(time.Second))
	default:
		defer t.leave(n.Shop)
		t.settle(ctx, n, e, t.attempt(ctx, n, e))
	}
}

// enter takes one of the shop's places, so that a slow endpoint holds up no
// other shop's.
func (t *Teller) enter(shop roster.ShopID) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.busy[shop] >= t.cfg.PerShop {
		return false
	}
	t.busy[shop]++
	return true
}

func (t *Teller) leave(shop roster.ShopID) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.busy[shop]--; t.busy[shop] == 0 {
		delete(t.busy, shop)
	}
}

// settle stores what became of an attempt.
func (t *Teller) settle(ctx context.Context, n roster.News, e roster.Endpoint, o outcome) {
	now := t.cfg.Now()
	failing, disabled, err := t.cfg.News.Report(ctx, n.Shop, e.ID, o.reason, o.patience(), now)
	if err != nil {
		t.log(n).Warn("state of the endpoint not kept", "error", err)
	}
	d := delivery(n, o, now)
	switch {
	case o.reason == "":
		t.end(ctx, n, roster.NewsTold, time.Time{})
	case disabled:
		t.end(ctx, n, roster.NewsParked, time.Time{})
	case givenUp(n, now):
		d.Result = "given-up"
		t.end(ctx, n, roster.NewsGivenUp, time.Time{})
	default:
		d.Next = now.Add(wait(n.Attempts, o.after, t.cfg.Dice()))
		t.end(ctx, n, roster.NewsFailed, d.Next)
	}
	t.note(ctx, n, d)
	switch {
	case disabled:
		t.disabled(ctx, n, e, o)
	case o.reason == "" && !failing.IsZero() && now.Sub(failing) >= outage:
		t.recovered(ctx, n.Shop, now)
	}
}

// note writes the delivery log and the process's own.
func (t *Teller) note(ctx context.Context, n roster.News, d roster.Delivery) {
	if t.cfg.Meter != nil {
		t.cfg.Meter.Told(d.Result, time.Duration(d.Took)*time.Millisecond)
	}
	t.log(n).Debug("told the shop's systems", "event", d.Event, "result", d.Result, "status", d.Status, "attempt",
		d.Attempt)
	if d.Result == "given-up" {
		t.log(n).Warn("event given up after a day; it can be replayed", "event", d.Event, "reason", d.Reason)
	}
	if err := t.cfg.News.LogDelivery(ctx, n.Shop, d); err != nil {
		t.log(n).Warn("delivery not logged", "event", d.Event, "error", err)
	}
}

// outage is how long an endpoint has to have failed so that its next success is
// news for the trips that wait. One event that it can't take, among many that
// it can, is none.
const outage = 5 * time.Minute

// recovered lets all trips of a shop go on at once when its endpoint answers
// again.
func (t *Teller) recovered(ctx context.Context, shop roster.ShopID, now time.Time) {
	if err := wakeAll(ctx, t.cfg.News, t.cfg.Trips, shop, false, now); err != nil {
		t.cfg.Log.Warn("events that wait will be told by and by", "shop", shop, "error", err)
	}
}

func (t *Teller) end(ctx context.Context, n roster.News, how roster.NewsEnd, at time.Time) {
	if err := t.cfg.News.EndNews(ctx, n, how, at); err != nil {
		// The lease runs out, and the event is told again.
		t.log(n).Warn("end of an attempt not stored", "end", how, "error", err)
	}
}

func (t *Teller) log(n roster.News) *slog.Logger {
	return t.cfg.Log.With("trip", n.Trip, "shop", n.Shop, "number", n.Number)
}

// wakeAll makes what the shop's trips still have to tell due now.
func wakeAll(ctx context.Context, news roster.Newsroom, trips Trips, shop roster.ShopID, afresh bool,
	now time.Time) error {
	ids, err := trips.List(ctx, shop, time.Time{}, time.Time{})
	for _, id := range ids {
		if _, wakeErr := news.WakeNews(ctx, shop, id, 0, afresh, now); wakeErr != nil {
			err = errors.Join(err, wakeErr)
		}
	}
	return err
}
