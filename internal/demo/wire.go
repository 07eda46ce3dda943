package demo

import (
	"context"
	"crypto/rand"
	"io"
	"log/slog"
	"sync"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/app"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// wired is the service as "bot serve" runs it, on a store inside the process,
// around the demo's clock and without Telegram.
type wired struct {
	*app.Embedded
	mini   *miniredis.Miniredis
	client redis.UniversalClient
	outbox roster.Outbox
	chats  roster.Chats
	host   app.HostLink
	key    string // the shop's
	stop   func()
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
	w.key = rand.Text()
	cfg := app.Config{PublicURL: address, Secret: app.Secret(rand.Text()), ShopKey: app.Secret(w.key),
		Evening: "0 18 * * *", Quiet: "22:00-06:00", KeepDays: 30}
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	chat := &chatSender{}
	if w.Embedded, err = app.Embed(ctx, cfg, w.client, clock.Now, log, chat); err != nil {
		return w, err
	}
	w.outbox, w.chats = w.Store.Outbox(), w.Store.Chats()
	chat.WebSender = delivery.WebSender{Chats: w.chats, Now: clock.Now}
	if w.host, err = w.AddHost(ctx, "Inês"); err != nil {
		return w, err
	}
	w.post(ctx)
	return w, nil
}

// chatSender stands in for the chat app, which isn't there: what would go to
// somebody's chat is kept as on a page, to be printed.
type chatSender struct{ delivery.WebSender }

// chatApp is its channel.
const chatApp = "chat"

func (*chatSender) Channel() string { return chatApp }

// post sets the postman to work; stop ends everything.
func (w *wired) post(ctx context.Context) {
	ctx, cancel := context.WithCancel(ctx)
	var busy sync.WaitGroup
	busy.Go(func() { w.Post(ctx) })
	client, mini := w.client, w.mini
	w.stop = func() {
		cancel()
		busy.Wait()
		_ = client.Close()
		mini.Close()
	}
}

// empty forgets everything but the shop.
func (w *wired) empty(ctx context.Context, clock *clock) error {
	w.mini.FlushAll()
	w.mini.SetTime(clock.Now())
	err := w.Bootstrap(ctx)
	if err == nil {
		w.host, err = w.AddHost(ctx, "Inês")
	}
	return err
}
