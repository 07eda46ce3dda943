package app

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"sync/atomic"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/desk"
	"gasmuster/internal/doorstep"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/shopapi"
	"gasmuster/internal/telegram"
	"gasmuster/internal/webchat"
	"gasmuster/internal/webhook"
)

// service is every part of a running process.
type service struct {
	cfg      Config
	log      *slog.Logger
	client   redis.UniversalClient
	store    *rdb.Store
	door     *delivery.Door
	postman  *delivery.Postman
	runner   *reminders.Runner
	hooks    webhook.Desk
	teller   *webhook.Teller
	telegram *telegram.Channel // nil when off
	renderer *message.Renderer
	invites  delivery.Invites
	metrics  *metrics
	pages    *webchat.Pages
	desk     *desk.Desk
	handler  http.Handler
	stopping atomic.Bool
	now      func() time.Time
	more     []delivery.Sender // channels of whoever embeds the service
	framed   bool              // chat pages may be shown in frames of the same origin: the demo
}

// wire connects to the store and puts the service together around it.
func wire(ctx context.Context, cfg Config, log *slog.Logger) (*service, error) {
	client, err := connect(ctx, cfg.RedisURL.Reveal(), cfg.RedisReplicas)
	if err != nil {
		return nil, err
	}
	s := &service{cfg: cfg, log: log, client: client, now: clock}
	if err := s.assemble(ctx); err != nil {
		_ = client.Close()
		return nil, err
	}
	return s, nil
}

// assemble makes the parts and connects them to each other and to the store.
func (s *service) assemble(ctx context.Context) error {
	s.store, s.renderer, s.metrics = rdb.New(s.client), message.New(), newMetrics()
	s.invites = delivery.NewInvites(s.cfg.Secret.Reveal())
	s.store.Now, s.store.Logger, s.store.Keep = s.now, s.log, s.cfg.Keep()+24*time.Hour
	s.tellProblems(ctx)
	if err := s.bootstrap(ctx); err != nil {
		return err
	}
	if err := s.wireDoors(); err != nil {
		return err
	}
	if err := s.wireHooks(); err != nil {
		return err
	}
	s.desk = s.newDesk()
	s.metrics.watchOutbox(s.store.Outbox())
	s.handler = s.routes().handler(s.metrics, s.log, &s.stopping)
	return nil
}

func (s *service) bootstrap(ctx context.Context) error {
	if err := (Shops{store: s.store.Shops(), now: s.now}).bootstrap(ctx, s.cfg.ShopKey); err != nil {
		return fmt.Errorf("shop %q: %w", DefaultShop, err)
	}
	return nil
}

// tellProblems logs what keeps nobody from starting but should be put right.
func (s *service) tellProblems(ctx context.Context) {
	for _, p := range s.cfg.soft() {
		s.log.Warn("setting to put right", "what", p.String())
	}
	s.warnAboutRedis(ctx)
}

// wireDoors makes the door in, the channels and the door out. The doors know
// each other: a commit kicks the postman, and the postman brings back what it
// learned about an address.
func (s *service) wireDoors() error {
	kick := func() { s.postman.Kick() }
	s.door = delivery.NewDoor(delivery.DoorConfig{Store: s.store, Addresses: s.store.Addresses(), Pages: s.store.Chats(),
		Traces:  s.store,
		Invites: s.invites, Shops: s.store.Shops(), Hosts: s.store.Hosts(), Limiter: s.store.Limiter(), Keep: s.cfg.Keep(),
		Evening: s.cfg.Evening, Quiet: s.cfg.Quiet, Kick: kick, Now: s.now,
		Meter: s.metrics, Log: s.log})
	s.pages = webchat.New(webchat.Deps{Door: s.door, Chats: s.store.Chats(), Renderer: s.renderer, Links: s.links(),
		Limiter: s.store.Limiter(),
		Now:     s.now, Log: s.log, Framed: s.framed})
	page := delivery.WebSender{Chats: s.store.Chats(), Now: s.now, Appended: s.pages.Appended}
	senders := append([]delivery.Sender{page}, s.more...)
	if s.cfg.TelegramToken != "" {
		channel, err := s.newTelegram()
		if err != nil {
			return err
		}
		s.telegram = channel
		senders = append(senders, channel)
	}
	s.postman = delivery.NewPostman(delivery.PostmanConfig{Outbox: s.store.Outbox(), Door: s.door, Senders: senders,
		Limiter: s.store.Limiter(), Limits: map[string]delivery.Limit{"telegram": delivery.TelegramLimit},
		Now: s.now, Meter: s.metrics, Log: s.log})
	s.runner = &reminders.Runner{Port: s.door, Now: s.now, Log: s.log}
	return nil
}

// wireHooks makes what tells the shops' systems of events.
func (s *service) wireHooks() error {
	sealer, err := webhook.NewSealer(s.cfg.Secret.Reveal())
	if err != nil {
		return fmt.Errorf("%sSECRET: %w", Prefix, err)
	}
	s.hooks = webhook.Desk{News: s.store.News(), Trips: s.store, Sealer: sealer, AllowPrivate: s.cfg.PrivateHooks,
		Now: s.now}
	s.teller = webhook.New(webhook.Config{News: s.store.News(), Trips: s.store, Door: s.door, Sealer: sealer,
		Client: webhook.NewClient(s.cfg.PrivateHooks), Now: s.now, Meter: s.metrics, Log: s.log})
	return nil
}

func (s *service) newTelegram() (*telegram.Channel, error) {
	return telegram.New(telegram.Config{Token: s.cfg.TelegramToken.Reveal(), APIURL: s.cfg.TelegramAPI,
		Mode:       s.cfg.TelegramMode,
		WebhookURL: s.cfg.PublicURL + "/telegram/webhook", Secret: s.cfg.WebhookSecret.Reveal(),
		Handler: s.door, Answer: func(e roster.Envelope) { s.postman.Answer(e) }, Renderer: s.renderer, Links: s.links(),
		IsHost: s.door.IsHost, Now: s.now, Log: s.log})
}

func (s *service) newDesk() *desk.Desk {
	return desk.New(desk.Deps{Door: s.door, Eraser: s.door, Trips: s.store, Shops: s.store.Shops(),
		SignIns: s.store.SignIns(), Hooks: s.hooks,
		Hosts:   booking.Hosts{Store: s.store.Hosts(), Now: s.now},
		Limiter: s.store.Limiter(), Renderer: s.renderer, Links: s.links(), Now: s.now, Log: s.log,
		PublicURL: s.cfg.PublicURL,
		KeepDays:  s.cfg.KeepDays, ClientHeader: s.cfg.ClientHeader, Framed: s.framed})
}

// links are the addresses that invites are opened with.
func (s *service) links() *delivery.Linker {
	return &delivery.Linker{Invites: s.invites, PublicURL: s.cfg.PublicURL, BotName: s.botName}
}

func (s *service) routes() routes {
	r := routes{ready: s.store.Ping}
	if s.cfg.MetricsListen == "" {
		r.metrics = s.metrics.handler()
	}
	r.shop = shopapi.New(shopapi.Deps{Door: s.door, Trips: s.store, Shops: s.store.Shops(), Limiter: s.store.Limiter(),
		Letters:  s.store.Outbox(),
		Renderer: s.renderer, Invites: s.invites, Hooks: s.hooks, Now: s.now, Log: s.log, PublicURL: s.cfg.PublicURL,
		TelegramName: s.botName, Evening: s.cfg.Evening, Quiet: s.cfg.Quiet, ClientHeader: s.cfg.ClientHeader})
	r.pages, r.desk = s.pages, s.desk
	r.doorstep = doorstep.New(doorstep.Deps{Door: s.door, Links: s.links(), Renderer: s.renderer,
		ClientHeader: s.cfg.ClientHeader, Now: s.now, Log: s.log})
	if s.telegram != nil && s.cfg.Webhook() {
		r.telegram = s.telegram
	}
	return r
}

// botName is the bot's user name, "" while Telegram is off or was not reached.
func (s *service) botName() string {
	if s.telegram == nil {
		return ""
	}
	return s.telegram.Username()
}
