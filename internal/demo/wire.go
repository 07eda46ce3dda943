package demo

import (
	"context"
	"crypto/rand"
	"io"
	"log/slog"
	"net/http"
	"sync"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/shopapi"
	"gasmuster/internal/webchat"
)

// wired is the service's own parts, on a store inside the process. They are the
// same that "bot serve" runs, put together around the demo's clock and without
// Telegram.
type wired struct {
	mini     *miniredis.Miniredis
	client   redis.UniversalClient
	store    *rdb.Store
	door     *delivery.Door
	outbox   roster.Outbox
	chats    roster.Chats
	renderer *message.Renderer
	handler  http.Handler // /v1/ and /c/
	key      string       // the shop's
	runner   *reminders.Runner
	kick     func()
	stop     func()
}

func wire(ctx context.Context, address string, clock *clock) (w wired, err error) {
	w.mini = miniredis.NewMiniRedis()
	if err = w.mini.Start(); err != nil {
		return w, err
	}
	w.mini.SetTime(clock.Now())
	if w.client, err = rdb.Open("redis://" + w.mini.Addr()); err != nil {
		return w, err
	}
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	w.store = rdb.New(w.client)
	w.store.Now = clock.Now
	w.outbox, w.chats, w.renderer = w.store.Outbox(), w.store.Chats(), message.New()
	invites := delivery.NewInvites(rand.Text())
	var postman *delivery.Postman
	w.kick = func() { postman.Kick() }
	w.door = delivery.NewDoor(delivery.DoorConfig{Store: w.store, People: w.store.People(), Pages: w.store.Chats(),
		Invites: invites, Evening: "0 18 * * *", Quiet: "22:00-06:00", Now: clock.Now, Kick: w.kick, Log: log})
	postman = delivery.NewPostman(delivery.PostmanConfig{Outbox: w.outbox, Door: w.door, Now: clock.Now, Log: log,
		Senders: []delivery.Sender{delivery.WebSender{Chats: w.chats, Now: clock.Now}}})
	w.runner = &reminders.Runner{Port: w.door, Now: clock.Now, Log: log}
	w.handler = surface(
		shopapi.New(shopapi.Deps{Door: w.door, Trips: w.store, Shops: w.store.Shops(), Limiter: w.store.Limiter(),
			Renderer: w.renderer, Invites: invites, Now: clock.Now, Log: log, PublicURL: address,
			Evening: "0 18 * * *", Quiet: "22:00-06:00"}),
		webchat.New(webchat.Deps{Door: w.door, Chats: w.chats, Renderer: w.renderer, Now: clock.Now, Log: log, Framed: true}))
	w.start(ctx, postman)
	w.key = rand.Text()
	return w, w.openShop(ctx, clock)
}

func surface(shop, pages http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("/v1/", shop)
	mux.Handle("/c/", pages)
	return mux
}

// start sets the postman to work; stop ends everything.
func (w *wired) start(ctx context.Context, postman *delivery.Postman) {
	ctx, cancel := context.WithCancel(ctx)
	var busy sync.WaitGroup
	busy.Go(func() { postman.Run(ctx) })
	w.stop = func() {
		cancel()
		busy.Wait()
		w.client.Close()
		w.mini.Close()
	}
}

// beat wakes the trip if something is due.
func (w *wired) beat(ctx context.Context) { w.runner.Beat(ctx) }

func (w *wired) openShop(ctx context.Context, clock *clock) error {
	return w.store.Shops().PutShop(ctx, roster.Shop{ID: "demo", Name: "demo", KeyHash: shopapi.HashKey(w.key), Created: clock.Now()})
}

// empty forgets everything but the shop.
func (w *wired) empty(ctx context.Context, clock *clock) error {
	w.mini.FlushAll()
	w.mini.SetTime(clock.Now())
	return w.openShop(ctx, clock)
}
